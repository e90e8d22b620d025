"""The canonical tables of an invented plant-year as DuckDB selects.

Every value is drawn from a hash of what it belongs to, so that the same scale gives the same rows
on any machine. Time is UTC, in whole seconds since the year's first instant. This module writes
nothing.
"""

DAYS = 365
RUNS_PER_MACHINE = 80
RUN_SLOT_S = DAYS * 86400 // RUNS_PER_MACHINE
STOPS_PER_RUN = 19
STOP_SLOT_S = 19600
ROUND_S = 1680
BINS_PER_RUN = 25

MACROS = f"""
create macro draw(what, a, b, n) as
    cast(hash(what, cast(a as bigint), cast(b as bigint)) % n as bigint);
create macro instant(s) as
    strftime(timestamp '2025-01-01' + to_seconds(cast(s as bigint)), '%Y-%m-%d %H:%M:%S');
create macro day(n) as date '2025-01-01' + cast(n as integer);
create macro stop_start(run, start_s, j) as
    start_s + j * {STOP_SLOT_S} + 600 + draw('stop', run, j, 9000);
create macro stop_length(run, j) as 120 + draw('length', run, j, 2400)
    + case when draw('long', run, j, 12) = 0 then draw('longer', run, j, 5400) else 0 end;
create macro is_out(run, r, l) as draw('out', run * 1000 + r, l, 1000) = 0;
create macro is_dropped_after(run, r, l) as
    is_out(run, r, l) and draw('dropped', run * 1000 + r, l, 3) = 0;
create macro check_name(run, r, l) as printf('C%05d%03d%d', run, r, l);
create macro part_name(part) as printf('P%02d', part);
create macro run_name(run) as printf('R%05d', run);
"""

BASES = {
    "plant_machines": """
        select m, printf('M%03d', m + 1) as machine_id, printf('area-%d', m // 25 + 1) as area,
            printf('cell-%02d', m // 5 + 1) as group_id
        from range($machines) as t(m)""",
    "plant_runs": f"""
        select m * {RUNS_PER_MACHINE} + k as run, m, k, machine_id, (m * 7 + k) % 60 as part,
            k * {RUN_SLOT_S} + 3600 + draw('start', m, k, 60) * 60 as start_s,
            (k + 1) * {RUN_SLOT_S} - 5400 - draw('end', m, k, 120) * 60 as end_s
        from plant_machines cross join range({RUNS_PER_MACHINE}) as t(k)""",
    "plant_shifts": f"""
        select d, s, ['early', 'late', 'night'][s + 1] as shift,
            d * 86400 + 21600 + s * 28800 as start_s
        from range(-1, {DAYS}) as a(d) cross join range(3) as b(s)""",
    "plant_checks": f"""
        with rounds as (
            select *, unnest(range(1, (end_s - start_s) // {ROUND_S})) as r from plant_runs
        ),
        patrols as (
            select rounds.*, l, start_s + r * {ROUND_S} + draw('round', run, r, 601) - 300 + l * 50
                + draw('line', run * 1000 + r, l, 20) as done_s
            from rounds cross join range(1, 7) as t(l)
            where draw('skipped', run, r, 1000) >= 3
                and draw('left out', run * 1000 + r, l, 10000) >= 5
                and not is_dropped_after(run, r - 1, l) and not is_dropped_after(run, r - 2, l)
                and not is_dropped_after(run, r - 3, l)
        ),
        stopped as (
            select *, (done_s - start_s) // {STOP_SLOT_S} as j,
                done_s - stop_start(run, start_s, j) as since_stop_s
            from patrols
        )
        select run, m, machine_id, part, start_s, end_s, r, l, done_s, 'patrol' as kind
        from stopped
        where done_s < end_s and (
            j >= {STOPS_PER_RUN} or since_stop_s < 0 or since_stop_s >= stop_length(run, j)
            or draw('although stopped', run, r, 10) = 0
        )
        union all
        select run, m, machine_id, part, start_s, end_s, 0, l, start_s - 400 + l * 40, 'first-off'
        from plant_runs cross join range(1, 7) as t(l)
        union all
        select run, m, machine_id, part, start_s, end_s, 999, l, end_s + 300 + l * 45
            + case when draw('late', run, 0, 12) > 0 then 0
                else 3600 + draw('later', run, 0, 14400) end,
            'last-off'
        from plant_runs cross join range(1, 7) as t(l)
        where draw('no last-off', run, 0, 50) > 0""",
    "plant_bins": f"""
        select *, start_s + (end_s - start_s) * j // {BINS_PER_RUN} as opened_s,
            start_s + (end_s - start_s) * (j + 1) // {BINS_PER_RUN} as closed_s,
            closed_s + 1200 + draw('moved', run, j, 7200) as moved_s,
            printf('L%05d%02d', run, j) as lot_no, printf('W%05d%d', run, j // 5) as washed_no
        from plant_runs cross join range({BINS_PER_RUN}) as t(j)""",
    "plant_gauges": """
        select g, printf('G%03d', g) as gauge_id
        from range(cast(ceil($machines / 5) as bigint) * 12) as t(g)""",
}

TABLES = {
    "machines": """
        select machine_id, area, group_id, 'turning' as process, true as auto_stop
        from plant_machines""",
    "shift_instances": """
        select area, day(d) as production_date, shift, instant(start_s) as start_at,
            instant(start_s + 28800) as end_at, isodow(day(d)) > 5 as overtime
        from plant_shifts cross join (select distinct area from plant_machines)""",
    "runs": """
        select run_name(run) as run_id, machine_id, part_name(part) as part_no, '10' as op,
            instant(start_s) as start_at, instant(end_s) as end_at, 'order-done' as end_kind,
            (end_s - start_s) // 40 as good, draw('scrap', run, 0, 60) as scrap
        from plant_runs""",
    "setups": """
        select 'S' || run_name(run) as setup_id, machine_id, part_name(part) as to_part,
            'part' as kind, instant(start_s - 3600) as start_at, instant(start_s - 600) as end_at,
            case draw('released', run, 0, 20) when 0 then null
                when 1 then instant(start_s + 1200) else instant(start_s - 60) end as released_at
        from plant_runs""",
    "stoppages": f"""
        select printf('T%05d%02d', run, j) as stop_id, machine_id,
            instant(stop_start(run, start_s, j)) as start_at,
            instant(stop_start(run, start_s, j) + stop_length(run, j)) as end_at,
            ['jam', 'tool', 'material', 'measuring', null][1 + draw('reason', run, j, 5)] as reason,
            draw('planned', run, j, 5) = 0 as planned,
            instant(stop_start(run, start_s, j) + draw('seen', run, j, 1500)) as acknowledged_at
        from plant_runs cross join range({STOPS_PER_RUN}) as t(j)""",
    "process_events": """
        select printf('E%05d%d', run, e) as event_id, machine_id, 'tool-change' as kind,
            instant(start_s + (e * 70000) + draw('event', run, e, 60000)) as happened_at
        from plant_runs cross join range(5) as t(e)""",
    "control_plan_lines": """
        select 'CP-' || part_name(part) as plan_no, 'A' as rev, (l * 10)::varchar as line,
            part_name(part) as part_no, '10' as op, printf('diameter %d', l) as characteristic,
            11.95 as lower_limit, 12.05 as upper_limit, 'mm' as unit, 4 as sample_n,
            'running-time' as basis, 30 as interval_min, 'first-off;patrol;last-off' as check_kinds,
            date '2024-01-01' as valid_from
        from range(60) as a(part) cross join range(1, 7) as b(l)""",
    "checks": """
        select check_name(run, r, l) as check_id, machine_id, part_name(part) as part_no,
            run_name(run) as run_id, kind, instant(done_s) as done_at,
            case when draw('unknown', run * 1000 + r, l, 500) = 0 then null
                else instant(done_s + case draw('delay', run * 1000 + r, l, 1000)
                    when 0 then -300
                    when 1 then 1800 + draw('long delay', run * 1000 + r, l, 7200)
                    when 2 then 1800 + draw('long delay', run * 1000 + r, l, 7200)
                    else 30 + draw('short delay', run * 1000 + r, l, 600) end) end as entered_at,
            case when is_out(run, r, l) and draw('said', run, r, 10) > 0 then 'fail' else 'pass' end
                as result
        from plant_checks""",
    "measurements": """
        select check_name(run, r, l) as check_id, (l * 10)::varchar as line, piece_no,
            case when piece_no = 2 and is_out(run, r, l) then 12.062
                else 11.96 + draw('value', run * 1000 + r, l * 10 + piece_no, 801) / 10000 end
                ::decimal(9, 4) as value, 'mm' as unit,
            case when draw('no gauge', run * 1000 + r, l, 1000) > 0 then printf('G%03d',
                m // 5 * 12 + (l - 1) * 2 + draw('gauge', run * 1000 + r, l, 2)) end as gauge_id
        from plant_checks cross join range(1, 5) as t(piece_no)""",
    "gauges": """
        select gauge_id, 'micrometer' as type, 0.001 as resolution, 'mm' as unit, 75 as interval_d
        from plant_gauges""",
    "calibrations": """
        select gauge_id, done_on, done_on + 80 as next_due,
            case when n > 0 and draw('verdict', g, n, 200) = 0 then 'out' else 'in' end as verdict
        from (
            select *, day(n * 75 - 40 + case when draw('overdue', g, n, 12) = 0
                then 6 + draw('days', g, n, 12) else -draw('early', g, n, 5) end) as done_on
            from plant_gauges cross join range(7) as t(n)
        )""",
    "allocations": """
        select printf('%s-operator-%d-%s', group_id, m % 5, shift) as person_key,
            machine_id as machine_or_group, instant(start_s) as start_at,
            instant(start_s + 28800) as end_at, 'operator' as role, 'actual' as basis,
            null as trainer
        from plant_machines cross join plant_shifts
        where s < 2 or draw('present', m, d, 4) > 0
        union all
        select distinct printf('%s-watcher-%s', group_id, shift), group_id, instant(start_s),
            instant(start_s + 28800), 'watcher', 'actual', null
        from plant_machines cross join plant_shifts
        where s < 2
        union all
        select printf('%s-trainee-%d', group_id, m % 5), machine_id, instant(start_s),
            instant(start_s + 28800), 'trainee', 'actual',
            printf('%s-operator-%d-%s', group_id, m % 5, shift)
        from plant_machines cross join plant_shifts
        where s = 0 and m % 2 = 0""",
    "qualifications": """
        select distinct printf('%s-operator-%d-%s', group_id, m % 5, shift) as person_key,
            'turning' as process, date '2024-01-01' as valid_from,
            case when draw('level', m, s, 20) = 0 then 1 else 3 end as level
        from plant_machines cross join plant_shifts""",
    "required_qualifications": """
        select 'turning' as process, 'operator' as role, date '2024-01-01' as valid_from,
            2 as level""",
    "staffing_rules": """
        select distinct 'rule-' || area as rule_id, area, 5 as max_machines_per_person,
            area <> 'area-2' as watching_allowed, date '2024-01-01' as valid_from
        from plant_machines""",
    "unattended_permissions": """
        select 'U' || machine_id as permission_id, machine_id, 'night' as shifts,
            date '2024-01-01' as valid_from
        from plant_machines where m % 2 = 0""",
    "lots": """
        select lot_no, part_name(part) as part_no, machine_id, 400 as qty,
            instant(opened_s) as opened_at, instant(closed_s) as closed_at,
            instant(moved_s) as moved_at
        from plant_bins
        union all
        select washed_no, part_name(min(part)), null, 2000, instant(max(moved_s) + 3600),
            instant(max(moved_s) + 7200), null
        from plant_bins group by washed_no""",
    "lot_links": """
        select lot_no as from_lot, washed_no as to_lot, 400 as qty,
            instant(max(moved_s) over (partition by washed_no) + 3600) as linked_at
        from plant_bins""",
    "shipment_lines": """
        select 'D' || washed_no as ship_no, '1' as line, part_name(min(part)) as part_no,
            washed_no as lot_no, 2000 as qty, instant(max(moved_s) + 432000) as shipped_at
        from plant_bins group by washed_no""",
    "holds": f"""
        select 'H' || check_name(run, r, l) as hold_id, check_name(run, r, l) as trigger_ref,
            printf('L%05d%02d', run, (done_s - start_s) * {BINS_PER_RUN} // (end_s - start_s))
                as lot_no, machine_id, 400 as qty, instant(done_s + 900) as placed_at
        from plant_checks
        where kind = 'patrol' and is_out(run, r, l) and not is_dropped_after(run, r, l)
            and draw('held', run, r, 2) = 0""",
}

/*---
finding = "A characteristic that the plan asks for at first-off has no complete first-off result."
says = "Set-up {setup_id} on {machine_id}, ended {setup_end_at}, line {line}{at_station}: {n} of {sample_n} pieces in time."
needs = ["setups", "runs", "checks", "control_plan_lines.check_kinds"]
criteria = ["first_off_window_min"]
clauses = ["A 8.5.1.1", "A 8.5.1.3"]
pattern = "depends"
strata = ["attendance", "shift", "machine_id"]
key = ["setup_id", "line", "station"]
since = "0.1"

[uses]
measurements = "How many pieces were looked at is not judged: no measurements were given."
machines = "Stations are not told apart: no machines were given."
---
## What it tests
Whether each characteristic for which the control plan lists a first-off was checked around the end
of each set-up, on enough pieces, and at every station where stations are recorded.

## Why it matters
Where first-off is not applicable to a process, none is asked for here: it binds only where the plan
lists it. Where it does, a missing one may be a result kept in the laboratory's own list; else the
run was not shown to be good at its start.

## Population
Every set-up with its run, times every plan line valid then that lists first-off, times every
station where measurements name stations. Its ref is set-up, line and station.

## Not assessable
- The set-up's end, or the time of a first-off that could be the one, is missing or ambiguous.

## Traps
- A first-off that came after the release is not missing: it belongs to release-before-evidence.
- Only kind first-off counts: a patrol check soon after is another thing.
- Fewer pieces than the plan's sample is not complete. One of four stations is not complete.

## Ask next
May we see the retained first-off piece of the last set-up, and match it to its sheet?

## Source
First-off controls: IATF 16949:2016 8.5.1.1, 8.5.1.3 d (memory). Thirty minutes on both sides of
the set-up's end: common practice, no source.
*/
with

asked as (
    select
        starts.setup_id,
        starts.machine_id,
        starts.run_ix,
        starts.setup_end_at,
        starts.released_at,
        setups.clock,
        due_lines.plan_line_ix,
        due_lines.line,
        due_lines.sample_n,
        case
            when not exists (
                select 1 from measurements
                where measurements.station is not null
            ) then 0
            else coalesce(known_machines.stations, 0)
        end as stations
    from starts
    inner join setups using (setup_id)
    inner join known_machines using (machine_ix)
    inner join merged_runs using (run_ix)
    inner join due_lines
        on starts.run_ix = due_lines.run_ix and merged_runs.start_at = due_lines.from_at
    where list_contains(due_lines.check_kinds, 'first-off')
),

units as (
    select
        *,
        case when stations > 0 then unnest(generate_series(1, stations)) end as station_no
    from asked
    where stations > 0
    union all
    select
        *,
        null as station_no
    from asked
    where stations = 0
),

any_measured as (select count(*) as n from measurements),

results as (
    select
        placed_checks.run_ix,
        placed_checks.plan_line_ix,
        placed_checks.check_ix,
        placed_checks.done_at,
        checks.clock,
        try_cast(measurements.station as bigint) as station_no,
        case
            when max(any_measured.n) > 0 then count(*) filter (
                where measurements.value is not null or measurements.attribute is not null
            )
        end as n
    from placed_checks
    inner join checks on placed_checks.check_ix = checks.row_ix
    inner join control_plan_lines on placed_checks.line_ix = control_plan_lines.row_ix
    cross join any_measured
    left join measurements
        on checks.check_id = measurements.check_id and control_plan_lines.line = measurements.line
    where placed_checks.kind = 'first-off' and placed_checks.completed
    group by all
),

judged as (
    select
        units.setup_id,
        units.plan_line_ix,
        units.station_no,
        coalesce(sum(coalesce(results.n, units.sample_n, 1)) filter (
            where date_diff('second', units.setup_end_at, results.done_at)
            between -$first_off_window_s and $first_off_window_s
            or results.done_at > units.released_at
        ), 0) as n,
        count(*) filter (where results.check_ix is not null and results.done_at is null) as untimed,
        count(*) filter (
            where abs(abs(date_diff('second', units.setup_end_at, results.done_at)) - $first_off_window_s)
            <= 2 * tolerance_s(results.clock, units.clock)
        ) as n_near
    from units
    left join results
        on
            units.run_ix = results.run_ix
            and units.plan_line_ix = results.plan_line_ix
            and (units.station_no is null or units.station_no = results.station_no)
    group by all
)

select
    units.setup_id,
    units.line,
    units.station_no as station,
    units.machine_id,
    units.setup_end_at,
    units.sample_n,
    judged.n,
    coalesce(', station ' || units.station_no, '') as at_station,
    run_contexts.attendance,
    run_contexts.shift,
    run_contexts.shift_ref,
    judged.n_near > 0 as fragile,
    case
        when judged.n >= coalesce(units.sample_n, 1) then null
        when units.setup_end_at is null or judged.untimed > 0 then 'time missing'
    end as not_assessable,
    case
        when judged.n >= coalesce(units.sample_n, 1) then false
        when units.setup_end_at is not null and judged.untimed = 0 then true
    end as exception
from units
inner join judged
    on
        units.setup_id = judged.setup_id
        and units.plan_line_ix = judged.plan_line_ix
        and units.station_no is not distinct from judged.station_no
left join run_contexts on units.run_ix = run_contexts.run_ix

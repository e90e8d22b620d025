/*---
about = "one row per scenario, permission and stretch in which it was valids, and whether it held"
criteria = []
sorted = ["scenario", "machine_ix", "from_at", "permission_id"]
---
Step 4 of the attendance class. A permission is valid on its days, for its part (as the merged run
says) and in its shifts. It `holds` while the conditions on its own row hold too; else a `condition`
is not met, or it is `too long`: the longest permitted time, counted from where nobody attended or
covered any more inside the merged run, has passed. `segregated-output` needs what the records of
lots and holds say and is left to the record test.
*/
with scenarios as (
    select unnest(['recorded', 'planned', 'unqualified']) as scenario
),

permissions as (
    select
        scenarios.scenario,
        known_machines.machine_ix,
        known_machines.area,
        written.permission_id,
        written.part_no,
        written.shifts,
        written.valid_from,
        written.valid_to,
        cast(round(written.max_duration_min * 60) as bigint) as max_duration_s,
        coalesce(list_contains(written.conditions, 'auto-stop'), false)
        and not coalesce(known_machines.auto_stop, false) as lacks_auto_stop,
        coalesce(list_contains(written.conditions, 'no-special-characteristics'), false)
            as bars_special,
        coalesce(list_contains(written.conditions, 'named-watcher'), false) as asks_watcher
    from unattended_permissions as written
    inner join known_machines on written.machine_id = known_machines.machine_id
    cross join scenarios
),

-- Where the time without attendance begins anew: nobody there any more, or another run.
edges as (
    select
        scenario,
        machine_ix,
        false as is_run_edge,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from tended_spans
    where tending is null
    union all
    select
        scenarios.scenario,
        merged_runs.machine_ix,
        true as is_run_edge,
        unnest([merged_runs.start_at, merged_runs.end_at]) as event_at,
        0 as step
    from merged_runs
    cross join scenarios
),

edge_moments as (
    select
        scenario,
        machine_ix,
        event_at,
        sum(step) as step,
        bool_or(is_run_edge) as is_run_edge
    from edges
    group by scenario, machine_ix, event_at
),

edges_swept as (
    select
        *,
        sum(step) over (partition by scenario, machine_ix order by event_at) as untended
    from edge_moments
    where step <> 0 or is_run_edge
),

stretches as (
    select
        scenario,
        machine_ix,
        untended,
        event_at as from_at,
        lead(event_at) over (partition by scenario, machine_ix order by event_at) as to_at
    from edges_swept
),

spans as (
    select
        scenario,
        permission_id,
        'valid' as what,
        utc_time(cast(valid_from as timestamp)) as from_at,
        coalesce(utc_time(cast(valid_to + 1 as timestamp)), timestamp '9999-12-31') as to_at
    from permissions
    union all
    select
        permissions.scenario,
        permissions.permission_id,
        'part' as what,
        merged_runs.start_at as from_at,
        merged_runs.end_at as to_at
    from permissions
    inner join merged_runs
        on permissions.machine_ix = merged_runs.machine_ix and permissions.part_no = merged_runs.part_no
    union all
    select
        permissions.scenario,
        permissions.permission_id,
        'shift' as what,
        shift_spans.start_at as from_at,
        shift_spans.end_at as to_at
    from permissions
    inner join shift_spans
        on permissions.area = shift_spans.area and list_contains(permissions.shifts, shift_spans.shift)
    union all
    select
        permissions.scenario,
        permissions.permission_id,
        'special' as what,
        case
            when special_days.from_at > merged_runs.start_at then special_days.from_at
            else merged_runs.start_at
        end as from_at,
        case
            when special_days.to_at < merged_runs.end_at then special_days.to_at
            else merged_runs.end_at
        end as to_at
    from permissions
    inner join merged_runs on permissions.machine_ix = merged_runs.machine_ix
    inner join special_days
        on
            merged_runs.part_no = special_days.part_no
            and merged_runs.start_at < special_days.to_at
            and merged_runs.end_at > special_days.from_at
    where permissions.bars_special
    union all
    select
        permissions.scenario,
        permissions.permission_id,
        'watcher' as what,
        tended_spans.from_at,
        tended_spans.to_at
    from permissions
    inner join tended_spans
        on
            permissions.scenario = tended_spans.scenario
            and permissions.machine_ix = tended_spans.machine_ix
            and tended_spans.has_watcher
    where permissions.asks_watcher
    union all
    select
        permissions.scenario,
        permissions.permission_id,
        'time left' as what,
        stretches.from_at,
        case
            when date_diff('second', stretches.from_at, stretches.to_at) > permissions.max_duration_s
                then stretches.from_at + to_seconds(permissions.max_duration_s)
            else stretches.to_at
        end as to_at
    from permissions
    inner join stretches
        on
            permissions.scenario = stretches.scenario
            and permissions.machine_ix = stretches.machine_ix
            and stretches.untended > 0
    where permissions.max_duration_s is not null
),

events as (
    select
        scenario,
        permission_id,
        what,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from spans
    where from_at < to_at
),

moments as (
    select
        scenario,
        permission_id,
        event_at,
        sum(step) filter (where what = 'valid') as valids,
        sum(step) filter (where what = 'part') as parts,
        sum(step) filter (where what = 'shift') as shifts,
        sum(step) filter (where what = 'special') as specials,
        sum(step) filter (where what = 'watcher') as watchers,
        sum(step) filter (where what = 'time left') as time_left
    from events
    group by scenario, permission_id, event_at
),

swept as (
    select
        scenario,
        permission_id,
        event_at as from_at,
        lead(event_at) over in_time as to_at,
        coalesce(sum(valids) over in_time, 0) > 0 as is_valid,
        coalesce(sum(parts) over in_time, 0) > 0 as is_part,
        coalesce(sum(shifts) over in_time, 0) > 0 as is_shift,
        coalesce(sum(specials) over in_time, 0) > 0 as is_special,
        coalesce(sum(watchers) over in_time, 0) > 0 as is_watched,
        coalesce(sum(time_left) over in_time, 0) > 0 as has_time_left
    from moments
    window in_time as (partition by scenario, permission_id order by event_at)
)

select
    swept.scenario,
    permissions.machine_ix,
    swept.permission_id,
    swept.from_at,
    swept.to_at,
    case
        when
            permissions.lacks_auto_stop
            or (permissions.bars_special and swept.is_special)
            or (permissions.asks_watcher and not swept.is_watched) then 'condition'
        when permissions.max_duration_s is not null and not swept.has_time_left then 'too long'
        else 'holds'
    end as verdict
from swept
inner join permissions
    on swept.scenario = permissions.scenario and swept.permission_id = permissions.permission_id
where
    swept.is_valid
    and (permissions.part_no is null or swept.is_part)
    and (permissions.shifts is null or swept.is_shift)

/*---
about = "one row per machine and stretch with the same written permission to run unattended"
criteria = []
sorted = ["machine_ix", "from_at"]
---
A permission is valid on its days, for its part (as the merged run says) and in its shifts. Of
several the most generous one serves: `max_s` is the longest stretch permitted without anybody,
`watched_max_s` that where a watcher is named; null where no permission holds. `is_unmet`: one is
valid, but a condition on its own row is not met (the machine must stop itself, or the part may have
no special characteristic). `segregated-output` needs what the records of lots and holds say and is
left to the record test.
*/
with permissions as (
    select
        known_machines.machine_ix,
        known_machines.area,
        known_machines.auto_stop,
        written.permission_id,
        written.part_no,
        written.shifts,
        coalesce(written.conditions, []) as conditions,
        utc_time(cast(written.valid_from as timestamp)) as from_at,
        coalesce(
            utc_time(cast(written.valid_to + 1 as timestamp)), timestamp '9999-12-31'
        ) as to_at,
        -- No limit written: longer than any record.
        coalesce(cast(round(written.max_duration_min * 60) as bigint), 10000000000) as max_s
    from unattended_permissions as written
    inner join known_machines on written.machine_id = known_machines.machine_id
),

spans as (
    select
        permission_id,
        from_at,
        to_at,
        1 as valid_days
    from permissions
    union all by name
    select
        permissions.permission_id,
        merged_runs.start_at as from_at,
        merged_runs.end_at as to_at,
        1 as parts
    from permissions
    inner join merged_runs
        on permissions.machine_ix = merged_runs.machine_ix and permissions.part_no = merged_runs.part_no
    union all by name
    select
        permissions.permission_id,
        shift_spans.start_at as from_at,
        shift_spans.end_at as to_at,
        1 as shifts
    from permissions
    inner join shift_spans
        on permissions.area = shift_spans.area and list_contains(permissions.shifts, shift_spans.shift)
    union all by name
    select
        permissions.permission_id,
        case
            when special_days.from_at > merged_runs.start_at then special_days.from_at
            else merged_runs.start_at
        end as from_at,
        case
            when special_days.to_at < merged_runs.end_at then special_days.to_at
            else merged_runs.end_at
        end as to_at,
        1 as specials
    from permissions
    inner join merged_runs on permissions.machine_ix = merged_runs.machine_ix
    inner join special_days
        on
            merged_runs.part_no = special_days.part_no
            and merged_runs.start_at < special_days.to_at
            and merged_runs.end_at > special_days.from_at
),

events as (
    select
        *,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from spans
),

moments as (
    select
        permission_id,
        event_at,
        sum(step * valid_days) as valid_days,
        sum(step * parts) as parts,
        sum(step * shifts) as shifts,
        sum(step * specials) as specials
    from events
    group by permission_id, event_at
),

swept as (
    select
        permission_id,
        event_at as from_at,
        lead(event_at) over in_time as to_at,
        coalesce(sum(valid_days) over in_time, 0) > 0 as is_valid,
        coalesce(sum(parts) over in_time, 0) > 0 as is_part,
        coalesce(sum(shifts) over in_time, 0) > 0 as is_shift,
        coalesce(sum(specials) over in_time, 0) > 0 as is_special
    from moments
    window in_time as (partition by permission_id order by event_at)
),

valid as (
    select
        permissions.machine_ix,
        permissions.max_s,
        swept.from_at,
        swept.to_at,
        list_contains(permissions.conditions, 'named-watcher') as asks_watcher,
        (
            coalesce(permissions.auto_stop, false)
            or not list_contains(permissions.conditions, 'auto-stop')
        )
        and (
            not swept.is_special
            or not list_contains(permissions.conditions, 'no-special-characteristics')
        ) as holds
    from swept
    inner join permissions on swept.permission_id = permissions.permission_id
    where
        swept.is_valid
        and (permissions.part_no is null or swept.is_part)
        and (permissions.shifts is null or swept.is_shift)
),

edges as (
    select
        machine_ix,
        from_at as event_at
    from valid
    union
    select
        machine_ix,
        to_at as event_at
    from valid
),

cells as (
    select
        machine_ix,
        event_at as from_at,
        lead(event_at) over (partition by machine_ix order by event_at) as to_at
    from edges
),

served as (
    select
        cells.machine_ix,
        cells.from_at,
        cells.to_at,
        max(valid.max_s) filter (where valid.holds and not valid.asks_watcher) as max_s,
        max(valid.max_s) filter (where valid.holds) as watched_max_s,
        bool_or(not valid.holds) as is_unmet
    from cells
    inner join valid
        on
            cells.machine_ix = valid.machine_ix
            and cells.from_at >= valid.from_at
            and cells.from_at < valid.to_at
    where cells.to_at is not null
    group by cells.machine_ix, cells.from_at, cells.to_at
)

select
    *,
    row_number() over (order by machine_ix, from_at) as permission_ix
from served

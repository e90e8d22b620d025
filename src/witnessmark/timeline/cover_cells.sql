/*---
about = "one row per machine and stretch in which nothing about its cover changes"
criteria = []
sorted = ["machine_ix", "from_at"]
---
Steps 0 to 3 of the attendance class, for the three readings of the board in this order: as
recorded (actual before planned), as if only the plan existed, and as recorded with qualification
left aside. `steps` says for each what decides; `has_watcher` whether a watcher or leader is
present. Beside them stands what step 4 needs: whether a merged run begins or ends at `from_at`, and
the written permission. All is counted in one sweep over what begins and ends on a machine.
*/
-- Of one kind of thing several sorts are counted in one number, a thousand apart.
with groups as (
    select
        place,
        process,
        from_at,
        to_at,
        case recorded when 'enough' then 1 when 'open' then 1000 when 'short' then 1000000 end as recorded,
        case planned when 'enough' then 1 when 'open' then 1000 when 'short' then 1000000 end as planned,
        case unqualified when 'enough' then 1 when 'open' then 1000 when 'short' then 1000000 end
            as unqualified
    from group_spans
),

watches as (
    select
        *,
        case verdict when 'within' then 1 when 'beyond' then 1000 else 1000000 end as sorts
    from watch_spans
),

put as (
    select
        *,
        case when role <> 'trainee' then 1 else 0 end
        + case when attends then 1000 else 0 end
        + case when is_present and role in ('watcher', 'leader') then 1000000 else 0 end as sorts
    from allocation_spans
),

spans as (
    select
        machine_places.machine_ix,
        put.from_at,
        put.to_at,
        cast(put.attends_recorded and put.place_kind = 'machine' as bigint) as own_recorded,
        cast(put.attends_planned and put.place_kind = 'machine' as bigint) as own_planned,
        cast(put.attends_unqualified and put.place_kind = 'machine' as bigint) as own_unqualified,
        case when not put.is_void then put.sorts end as put_recorded,
        case when put.basis = 'planned' then put.sorts end as put_planned
    from put
    inner join machine_places
        on
            put.place = machine_places.place
            and put.process is not distinct from machine_places.process
    union all by name
    select
        machine_places.machine_ix,
        groups.from_at,
        groups.to_at,
        groups.recorded as group_recorded,
        groups.planned as group_planned,
        groups.unqualified as group_unqualified
    from groups
    inner join machine_places
        on
            groups.place = machine_places.place
            and groups.process is not distinct from machine_places.process
    union all by name
    select
        machine_ix,
        from_at,
        to_at,
        case when board = 'recorded' then sorts end as watch_recorded,
        case when board = 'planned' then sorts end as watch_planned
    from watches
    union all by name
    select
        known_machines.machine_ix,
        staffed_shifts.from_at,
        staffed_shifts.to_at,
        case when staffed_shifts.board = 'recorded' then 1 end as staffed_recorded,
        case when staffed_shifts.board = 'planned' then 1 end as staffed_planned
    from staffed_shifts
    inner join known_machines on staffed_shifts.area = coalesce(known_machines.area, '')
    union all by name
    select
        machine_ix,
        start_at as from_at,
        end_at as to_at,
        true as is_run
    from merged_runs
    union all by name
    select
        machine_ix,
        from_at,
        to_at,
        max_s,
        watched_max_s,
        cast(is_unmet as integer) as unmet
    from permission_spans
    union all by name
    select
        known_machines.machine_ix,
        period.starts_at as from_at,
        period.ends_at as to_at
    from known_machines
    cross join period
),

events as (
    select
        *,
        from_at as event_at,
        1 as step
    from spans
    union all
    select
        *,
        to_at as event_at,
        -1 as step
    from spans
),

moments as (
    select
        machine_ix,
        event_at,
        coalesce(sum(step * own_recorded), 0) as own_recorded,
        coalesce(sum(step * own_planned), 0) as own_planned,
        coalesce(sum(step * own_unqualified), 0) as own_unqualified,
        coalesce(sum(step * put_recorded), 0) as put_recorded,
        coalesce(sum(step * put_planned), 0) as put_planned,
        coalesce(sum(step * group_recorded), 0) as group_recorded,
        coalesce(sum(step * group_planned), 0) as group_planned,
        coalesce(sum(step * group_unqualified), 0) as group_unqualified,
        coalesce(sum(step * watch_recorded), 0) as watch_recorded,
        coalesce(sum(step * watch_planned), 0) as watch_planned,
        coalesce(sum(step * staffed_recorded), 0) as staffed_recorded,
        coalesce(sum(step * staffed_planned), 0) as staffed_planned,
        coalesce(sum(step * max_s), 0) as max_s,
        coalesce(sum(step * watched_max_s), 0) as watched_max_s,
        coalesce(sum(step * unmet), 0) as unmet,
        coalesce(bool_or(is_run), false) as is_run_edge
    from events
    where event_at is not null
    group by machine_ix, event_at
),

swept as (
    select
        machine_ix,
        is_run_edge,
        cast(sum(own_recorded) over in_time as bigint) as own_recorded,
        cast(sum(own_planned) over in_time as bigint) as own_planned,
        cast(sum(own_unqualified) over in_time as bigint) as own_unqualified,
        cast(sum(put_recorded) over in_time as bigint) as put_recorded,
        cast(sum(put_planned) over in_time as bigint) as put_planned,
        cast(sum(group_recorded) over in_time as bigint) as group_recorded,
        cast(sum(group_planned) over in_time as bigint) as group_planned,
        cast(sum(group_unqualified) over in_time as bigint) as group_unqualified,
        cast(sum(watch_recorded) over in_time as bigint) as watch_recorded,
        cast(sum(watch_planned) over in_time as bigint) as watch_planned,
        cast(sum(staffed_recorded) over in_time as bigint) as staffed_recorded,
        cast(sum(staffed_planned) over in_time as bigint) as staffed_planned,
        cast(sum(max_s) over in_time as bigint) as max_s,
        cast(sum(watched_max_s) over in_time as bigint) as watched_max_s,
        cast(sum(unmet) over in_time as bigint) as unmet,
        event_at as from_at,
        lead(event_at) over in_time as to_at
    from moments
    window in_time as (partition by machine_ix order by event_at)
),

readings as (
    select
        machine_ix,
        is_run_edge,
        from_at,
        to_at,
        max_s,
        watched_max_s,
        unmet,
        [
            {
                'staffed': staffed_recorded,
                'own': own_recorded,
                'grouped': group_recorded,
                'watch': watch_recorded,
                'put': put_recorded
            },
            {
                'staffed': staffed_planned,
                'own': own_planned,
                'grouped': group_planned,
                'watch': watch_planned,
                'put': put_planned
            },
            {
                'staffed': staffed_recorded,
                'own': own_unqualified,
                'grouped': group_unqualified,
                'watch': watch_recorded,
                'put': put_recorded
            }
        ] as readings
    from swept
    where to_at is not null
)

select
    machine_ix,
    from_at,
    to_at,
    is_run_edge,
    list_transform(
        readings,
        lambda reading: case
            when reading['staffed'] = 0 then '0 no staffing row for the area and shift'
            when reading['own'] > 0 then '2 attended: machine allocation'
            when reading['grouped'] % 1000 > 0 then '2 attended: group allocation'
            when reading['grouped'] // 1000 % 1000 > 0 then '2 attended: group, no number documented'
            when reading['watch'] % 1000 > 0 then '3 covered: watcher'
            when reading['grouped'] // 1000000 > 0
                then '5 uncovered: more machines running than the group may have'
            when reading['watch'] // 1000 % 1000 > 0
                then '5 uncovered: watcher beyond the number of machines'
            when reading['watch'] // 1000000 > 0 then '5 uncovered: no rule allows watching'
            when reading['put'] // 1000 % 1000 > 0 then '5 uncovered: present, not qualified'
            when reading['put'] % 1000 > 0 then '5 uncovered: allocated, not present or on a break'
            else '5 uncovered: nobody allocated'
        end
    ) as steps,
    list_transform(readings, lambda reading: reading['put'] // 1000000 > 0) as has_watcher,
    nullif(max_s, 0) as max_s,
    nullif(watched_max_s, 0) as watched_max_s,
    unmet > 0 as is_unmet
from readings

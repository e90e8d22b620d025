/*---
about = "one row per machine and stretch in which nothing about its cover changes"
criteria = []
sorted = ["machine_ix", "from_at"]
---
Steps 0 to 3 of the attendance class, for the three readings of the board in this order: as
recorded (actual before planned), as if only the plan existed, and as recorded with qualification
left aside. `steps` says for each what decides: 0 no row for area and shift; attended by 20 an
allocation to the machine, 21 to its group, 22 to a group without a number; 30 covered by a watcher;
nobody because of 50 a group with more machines running than it may have, 51 a watcher with more
machines than they may have, 52 a watcher without a rule, 53 a person not qualified, 54 a person not
present or on a break, 55 no allocation. `has_watcher`: a watcher or leader is present. Beside them
stands what step 4 needs: whether a merged run begins or ends at `from_at`, and the permission.

All is counted in one sweep over what begins and ends on a machine. To keep the sweep narrow the
things of one reading share two numbers, three digits each. From the right, `tended` counts own
allocations, groups with enough people, groups without a number, watchers within the rules, short
groups, watchers beyond the rules; `board` counts watchers, people present, people allocated, shifts
with a row, watchers or leaders present. So the rightmost digits that are not zero decide.
*/
with put as (
    select
        place,
        process,
        from_at,
        to_at,
        is_void,
        basis,
        case when attends_recorded and place_kind = 'machine' then 1 else 0 end as recorded,
        case when attends_planned and place_kind = 'machine' then 1 else 0 end as planned,
        case when attends_unqualified and place_kind = 'machine' then 1 else 0 end as unqualified,
        case when attends then 1000 else 0 end
        + case when role <> 'trainee' then 1000000 else 0 end
        + case when is_present and role in ('watcher', 'leader') then 1000000000000 else 0 end as board
    from allocation_spans
),

groups as (
    select
        place,
        process,
        from_at,
        to_at,
        case recorded
            when 'enough' then 1000 when 'open' then 1000000 when 'short' then 1000000000000 else 0
        end as recorded,
        case planned
            when 'enough' then 1000 when 'open' then 1000000 when 'short' then 1000000000000 else 0
        end as planned,
        case unqualified
            when 'enough' then 1000 when 'open' then 1000000 when 'short' then 1000000000000 else 0
        end as unqualified
    from group_spans
),

watches as (
    select
        machine_ix,
        from_at,
        to_at,
        board,
        case verdict when 'within' then 1000000000 when 'beyond' then 1000000000000000 else 0 end as tended,
        case verdict when 'watch' then 1 else 0 end as watchers
    from watch_spans
),

spans as (
    select
        machine_places.machine_ix,
        put.from_at,
        put.to_at,
        put.recorded as tended_recorded,
        put.planned as tended_planned,
        put.unqualified as tended_unqualified,
        case when put.is_void then 0 else put.board end as board_recorded,
        case when put.basis = 'planned' then put.board else 0 end as board_planned
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
        groups.recorded as tended_recorded,
        groups.planned as tended_planned,
        groups.unqualified as tended_unqualified
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
        case when board = 'recorded' then tended else 0 end as tended_recorded,
        case when board = 'planned' then tended else 0 end as tended_planned,
        case when board = 'recorded' then tended else 0 end as tended_unqualified,
        case when board = 'recorded' then watchers else 0 end as board_recorded,
        case when board = 'planned' then watchers else 0 end as board_planned
    from watches
    union all by name
    select
        known_machines.machine_ix,
        staffed_shifts.from_at,
        staffed_shifts.to_at,
        case when staffed_shifts.board = 'recorded' then 1000000000 else 0 end as board_recorded,
        case when staffed_shifts.board = 'planned' then 1000000000 else 0 end as board_planned
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
        permission_ix
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
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from spans
),

moments as (
    select
        machine_ix,
        event_at,
        cast(sum(step * tended_recorded) as bigint) as tended_recorded,
        cast(sum(step * tended_planned) as bigint) as tended_planned,
        cast(sum(step * tended_unqualified) as bigint) as tended_unqualified,
        cast(sum(step * board_recorded) as bigint) as board_recorded,
        cast(sum(step * board_planned) as bigint) as board_planned,
        cast(sum(step * permission_ix) as bigint) as permission_ix,
        coalesce(bool_or(is_run), false) as is_run_edge
    from events
    where event_at is not null
    group by machine_ix, event_at
),

swept as (
    select
        machine_ix,
        is_run_edge,
        cast(coalesce(sum(tended_recorded) over in_time, 0) as bigint) as tended_recorded,
        cast(coalesce(sum(tended_planned) over in_time, 0) as bigint) as tended_planned,
        cast(coalesce(sum(tended_unqualified) over in_time, 0) as bigint) as tended_unqualified,
        cast(coalesce(sum(board_recorded) over in_time, 0) as bigint) as board_recorded,
        cast(coalesce(sum(board_planned) over in_time, 0) as bigint) as board_planned,
        cast(coalesce(sum(permission_ix) over in_time, 0) as bigint) as permission_ix,
        event_at as from_at,
        lead(event_at) over in_time as to_at
    from moments
    window in_time as (partition by machine_ix order by event_at)
),

readings as (
    select
        *,
        [
            { 'tended': tended_recorded, 'board': board_recorded },
            { 'tended': tended_planned, 'board': board_planned },
            { 'tended': tended_unqualified, 'board': board_recorded }
        ] as readings
    from swept
    where to_at is not null
)

select
    machine_ix,
    from_at,
    to_at,
    is_run_edge,
    permission_ix,
    list_transform(
        readings,
        lambda reading: case
            when reading['board'] // 1000000000 % 1000 = 0 then 0
            when reading['tended'] % 1000 > 0 then 20
            when reading['tended'] % 1000000 > 0 then 21
            when reading['tended'] % 1000000000 > 0 then 22
            when reading['tended'] % 1000000000000 > 0 then 30
            when reading['tended'] % 1000000000000000 > 0 then 50
            when reading['tended'] > 0 then 51
            when reading['board'] % 1000 > 0 then 52
            when reading['board'] % 1000000 > 0 then 53
            when reading['board'] % 1000000000 > 0 then 54
            else 55
        end
    ) as steps,
    list_transform(readings, lambda reading: reading['board'] >= 1000000000000) as has_watcher
from readings

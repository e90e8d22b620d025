/*---
about = "one row per group or area, process and stretch in which somebody attends it, and whether enough"
criteria = []
sorted = ["place", "process", "from_at"]
---
An allocation to a group answers for as many running machines as its people may look after: their
number times `max_machines_per_person`. More running: `short`; else `enough`; nothing written:
`open`; null where nobody attends. The three readings of the board are those of `allocation_spans`.
Who is not qualified for a process does not attend it, but counts among the people.
*/
with group_places as (
    select distinct place
    from place_heads
),

-- What the people can take less what is running. Where no number is written they can take a
-- billion, so that one sum tells all three verdicts.
loads as (
    select
        place,
        board,
        from_at,
        to_at,
        heads * 1000000000 as machines
    from place_heads
    union all
    select
        place_heads.place,
        place_heads.board,
        case
            when place_heads.from_at > limits.from_at then place_heads.from_at else limits.from_at
        end as from_at,
        case when place_heads.to_at < limits.to_at then place_heads.to_at else limits.to_at end as to_at,
        place_heads.heads * (limits.max_machines - 1000000000) as machines
    from place_heads
    inner join staffing_limits as limits
        on
            place_heads.area = limits.area
            and place_heads.from_at < limits.to_at
            and place_heads.to_at > limits.from_at
    where limits.max_machines is not null
    union all
    select
        group_places.place,
        unnest(['recorded', 'planned']) as board,
        running_states.from_at,
        running_states.to_at,
        -1 as machines
    from group_places
    inner join machine_places on group_places.place = machine_places.place
    inner join running_states
        on machine_places.machine_ix = running_states.machine_ix and running_states.state = 'running'
),

load_events as (
    select
        place,
        board,
        unnest([from_at, to_at]) as event_at,
        unnest([machines, -machines]) as step
    from loads
),

load_moments as (
    select
        place,
        event_at,
        cast(sum(case when board = 'recorded' then step else 0 end) as bigint) as recorded,
        cast(sum(case when board = 'planned' then step else 0 end) as bigint) as planned
    from load_events
    group by place, event_at
),

spare as (
    select
        place,
        event_at,
        sum(recorded) over in_time as recorded,
        sum(planned) over in_time as planned
    from load_moments
    window in_time as (partition by place order by event_at)
),

numbered as (
    select
        place,
        event_at,
        case when recorded < 0 then 1 when recorded < 500000000 then 2 else 3 end as recorded,
        case when planned < 0 then 1 when planned < 500000000 then 2 else 3 end as planned
    from spare
),

compared as (
    select
        *,
        lag(recorded) over in_time as last_recorded,
        lag(planned) over in_time as last_planned
    from numbered
    window in_time as (partition by place order by event_at)
),

number_changes as (
    select
        place,
        recorded,
        planned,
        event_at as from_at,
        lead(event_at) over (partition by place order by event_at) as to_at
    from compared
    where recorded is distinct from last_recorded or planned is distinct from last_planned
),

processes as (
    select distinct
        place,
        process
    from machine_places
),

spans as (
    select
        place,
        process,
        from_at,
        to_at,
        cast(attends_recorded as integer) as recorded,
        cast(attends_planned as integer) as planned,
        cast(attends_unqualified as integer) as unqualified,
        0 as recorded_number,
        0 as planned_number
    from allocation_spans
    where place_kind <> 'machine' and attends
    union all
    select
        processes.place,
        processes.process,
        number_changes.from_at,
        number_changes.to_at,
        0 as recorded,
        0 as planned,
        0 as unqualified,
        number_changes.recorded as recorded_number,
        number_changes.planned as planned_number
    from processes
    inner join number_changes on processes.place = number_changes.place
    where number_changes.to_at is not null
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
        place,
        process,
        event_at,
        cast(sum(step * recorded) as bigint) as recorded,
        cast(sum(step * planned) as bigint) as planned,
        cast(sum(step * unqualified) as bigint) as unqualified,
        cast(sum(step * recorded_number) as bigint) as recorded_number,
        cast(sum(step * planned_number) as bigint) as planned_number
    from events
    group by place, process, event_at
),

swept as (
    select
        place,
        process,
        event_at as from_at,
        lead(event_at) over in_time as to_at,
        sum(recorded) over in_time > 0 as recorded,
        sum(planned) over in_time > 0 as planned,
        sum(unqualified) over in_time > 0 as unqualified,
        sum(recorded_number) over in_time as recorded_number,
        sum(planned_number) over in_time as planned_number
    from moments
    window in_time as (partition by place, process order by event_at)
),

worded as (
    select
        *,
        case recorded_number when 1 then 'short' when 2 then 'enough' else 'open' end as recorded_word,
        case planned_number when 1 then 'short' when 2 then 'enough' else 'open' end as planned_word
    from swept
)

select
    place,
    process,
    from_at,
    to_at,
    case when recorded then recorded_word end as recorded,
    case when planned then planned_word end as planned,
    case when unqualified then recorded_word end as unqualified
from worded
where recorded or planned or unqualified

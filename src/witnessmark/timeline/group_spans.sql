/*---
about = "one row per group or area, process and stretch in which somebody put to it attends, and whether enough"
criteria = []
sorted = ["place", "process", "from_at"]
---
An allocation to a group answers for as many running machines as its people may look after: their
number times `max_machines_per_person`. More running: `short`; else `enough`; nothing written:
`open`; null where nobody attends. Three readings of the board: as `recorded` (actual before
planned), as if only what was `planned` existed, and `unqualified` (as recorded, qualification left
aside). Who is not qualified for a process does not attend it, but counts among the people.
*/
with attending as (
    select
        place,
        process,
        from_at,
        to_at,
        cast(attends_recorded as integer) as recorded,
        cast(attends_planned as integer) as planned,
        cast(attends_unqualified as integer) as unqualified
    from allocation_spans
    where place_kind <> 'machine' and attends
),

places as (
    select
        attending.place,
        attending.process,
        min(machine_places.area) as area
    from attending
    inner join machine_places on attending.place = machine_places.place
    group by attending.place, attending.process
),

spans as (
    select
        place,
        process,
        from_at,
        to_at,
        recorded,
        planned,
        unqualified
    from attending
    union all by name
    select
        places.place,
        places.process,
        place_heads.from_at,
        place_heads.to_at,
        case when place_heads.board = 'recorded' then place_heads.heads end as recorded_heads,
        case when place_heads.board = 'planned' then place_heads.heads end as planned_heads
    from place_heads
    inner join places on place_heads.place = places.place
    union all by name
    select
        places.place,
        places.process,
        running_states.from_at,
        running_states.to_at,
        1 as running
    from places
    inner join machine_places on places.place = machine_places.place
    inner join running_states
        on machine_places.machine_ix = running_states.machine_ix and running_states.state = 'running'
    union all by name
    select
        places.place,
        places.process,
        staffing_limits.from_at,
        staffing_limits.to_at,
        staffing_limits.max_machines
    from places
    inner join staffing_limits on places.area = staffing_limits.area
    where staffing_limits.max_machines is not null
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
        place,
        process,
        event_at,
        coalesce(sum(step * recorded), 0) as recorded,
        coalesce(sum(step * planned), 0) as planned,
        coalesce(sum(step * unqualified), 0) as unqualified,
        coalesce(sum(step * recorded_heads), 0) as recorded_heads,
        coalesce(sum(step * planned_heads), 0) as planned_heads,
        coalesce(sum(step * running), 0) as running,
        coalesce(sum(step * max_machines), 0) as max_machines
    from events
    group by place, process, event_at
),

swept as (
    select
        place,
        process,
        event_at,
        sum(recorded) over in_time > 0 as recorded,
        sum(planned) over in_time > 0 as planned,
        sum(unqualified) over in_time > 0 as unqualified,
        sum(recorded_heads) over in_time as recorded_heads,
        sum(planned_heads) over in_time as planned_heads,
        sum(running) over in_time as running,
        sum(max_machines) over in_time as max_machines
    from moments
    window in_time as (partition by place, process order by event_at)
),

numbered as (
    select
        place,
        process,
        event_at,
        recorded,
        planned,
        unqualified,
        case
            when max_machines = 0 then 'open'
            when running > recorded_heads * max_machines then 'short'
            else 'enough'
        end as recorded_number,
        case
            when max_machines = 0 then 'open'
            when running > planned_heads * max_machines then 'short'
            else 'enough'
        end as planned_number
    from swept
),

judged as (
    select
        place,
        process,
        event_at,
        [
            case when recorded then recorded_number end,
            case when planned then planned_number end,
            case when unqualified then recorded_number end
        ] as verdicts
    from numbered
),

compared as (
    select
        *,
        lag(verdicts) over (partition by place, process order by event_at) as last_verdicts
    from judged
),

changes as (
    select
        place,
        process,
        verdicts,
        event_at as from_at,
        lead(event_at) over (partition by place, process order by event_at) as to_at
    from compared
    where verdicts is distinct from last_verdicts
)

select
    place,
    process,
    from_at,
    to_at,
    verdicts[1] as recorded,
    verdicts[2] as planned,
    verdicts[3] as unqualified
from changes
where verdicts is distinct from [null, null, null]

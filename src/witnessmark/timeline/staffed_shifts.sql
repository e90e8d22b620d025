/*---
about = "one row per board, area and shift with at least one allocation in it"
criteria = []
sorted = []
---
Where the staffing board says nothing at all about an area and a shift, nobody can tell who was
there. An allocation of any machine or group of the area that touches the shift is enough. Time
outside all shifts counts by the local day, as does everything where an area has no shift on
record. Machines of no known area (area '') go by any allocation at all.
*/
with areas as (
    select distinct coalesce(area, '') as area
    from known_machines
),

day_numbers as (
    select
        local_date(period.starts_at) as first_on,
        unnest(range(0, date_diff('day', period.starts_at, period.ends_at) + 3)) as day_no
    from period
),

midnights as (
    select utc_time(cast(first_on + cast(day_no as integer) as timestamp)) as at_midnight
    from day_numbers
),

events as (
    select
        area,
        unnest([start_at, end_at]) as event_at,
        unnest([1, -1]) as step
    from shift_spans
    union all
    select
        areas.area,
        midnights.at_midnight as event_at,
        0 as step
    from areas
    cross join midnights
),

moments as (
    select
        area,
        event_at,
        sum(step) as step
    from events
    group by area, event_at
),

swept as (
    select
        area,
        event_at as from_at,
        lead(event_at) over in_time as to_at,
        sum(step) over in_time as shifts
    from moments
    window in_time as (partition by area order by event_at)
),

shifts as (
    select
        area,
        start_at as from_at,
        end_at as to_at
    from shift_spans
    union all
    select
        area,
        from_at,
        to_at
    from swept
    where shifts = 0 and to_at is not null
),

touches as (
    select distinct
        spans.from_at,
        spans.to_at,
        coalesce(machine_places.area, '') as area,
        unnest(
            case
                when spans.basis = 'planned' and not spans.is_void then ['recorded', 'planned']
                when spans.basis = 'planned' then ['planned']
                else ['recorded']
            end
        ) as board
    from allocation_spans as spans
    inner join machine_places on spans.place = machine_places.place
    where machine_places.area is not null
    union all
    select
        start_at as from_at,
        case when end_at > start_at then end_at else start_at + interval 1 second end as to_at,
        '' as area,
        unnest(case when basis = 'planned' then ['recorded', 'planned'] else ['recorded'] end)
            as board
    from allocations
    where start_at is not null
),

begun as (
    select
        board,
        area,
        from_at as event_at,
        count(*) over (partition by board, area order by from_at) as n
    from touches
),

done as (
    select
        board,
        area,
        to_at as event_at,
        count(*) over (partition by board, area order by to_at) as n
    from touches
),

boards as (
    select
        *,
        unnest(['recorded', 'planned']) as board
    from shifts
),

-- Those that began before a shift's end, less those that were over at its start, touch it.
begun_then as (
    select
        boards.board,
        boards.area,
        boards.from_at,
        boards.to_at,
        begun.n
    from boards
    asof inner join begun
        on
            boards.area = begun.area
            and boards.board = begun.board
            and boards.to_at > begun.event_at
)

select
    begun_then.board,
    begun_then.area,
    begun_then.from_at,
    begun_then.to_at
from begun_then
asof left join done
    on
        begun_then.area = done.area
        and begun_then.board = done.board
        and begun_then.from_at >= done.event_at
where begun_then.n > coalesce(done.n, 0)

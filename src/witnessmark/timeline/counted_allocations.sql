/*---
about = "one row per allocation and stretch for which it counts"
criteria = []
sorted = ["allocation_ix", "from_at"]
---
An allocation without an end lasts until the shift ends in which it began, else to the end of that
day. A planned one counts only for the time in which the same person has no actual one at another
place: what is left of it may be several stretches, or none. `allocation_ix` is the row in
`allocations`. An allocation that is void, or has no certain start, has one row without a stretch.

`areas` are those of the machine, or of all machines of the group; `near` adds the areas that
neighbour them, in either direction. Both are null where no machine of that name is known.
*/
with near_areas as (
    select
        area,
        neighbour
    from area_neighbours
    union
    select
        neighbour as area,
        area as neighbour
    from area_neighbours
    union
    select
        area,
        area as neighbour
    from machine_places
),

places as (
    select
        machine_places.place,
        min(machine_places.area) as area,
        list(distinct machine_places.area) as areas,
        list(distinct near_areas.neighbour) as near
    from machine_places
    inner join near_areas on machine_places.area = near_areas.area
    group by machine_places.place
),

started as (
    select
        allocations.*,
        places.area,
        places.areas,
        places.near
    from allocations
    left join places on allocations.machine_or_group = places.place
),

allocated as (
    select
        started.row_ix as allocation_ix,
        started.person_key,
        started.machine_or_group,
        started.basis,
        started.clock,
        started.start_at_quality,
        started.area,
        started.areas,
        started.near,
        started.start_at,
        coalesce(
            started.end_at,
            case when shift_spans.end_at > started.start_at then shift_spans.end_at end,
            utc_time(cast(local_date(started.start_at) + 1 as timestamp))
        ) as end_at,
        case when shift_spans.end_at > started.start_at then shift_spans.shift end as shift,
        case
            when shift_spans.end_at > started.start_at
                then shift_spans.shift_ref
        end as shift_ref
    from started
    asof left join shift_spans
        on started.area = shift_spans.area and started.start_at >= shift_spans.start_at
),

-- What of a planned allocation is left beside the actual ones elsewhere: the gaps between them.
elsewhere as (
    select
        planned.allocation_ix,
        planned.start_at as from_at,
        planned.start_at as to_at
    from allocated as planned
    union all
    select
        planned.allocation_ix,
        planned.end_at as from_at,
        planned.end_at as to_at
    from allocated as planned
    union all
    select
        planned.allocation_ix,
        actual.start_at as from_at,
        actual.end_at as to_at
    from allocated as planned
    inner join allocated as actual
        on
            planned.person_key = actual.person_key
            and planned.machine_or_group <> actual.machine_or_group
            and planned.start_at < actual.end_at
            and planned.end_at > actual.start_at
    where planned.basis = 'planned' and actual.basis = 'actual'
),

left_over as (
    select
        allocation_ix,
        from_at as to_at,
        max(to_at) over (
            partition by allocation_ix
            order by from_at, to_at
            rows between unbounded preceding and 1 preceding
        ) as from_at
    from elsewhere
),

counting as (
    select
        allocation_ix,
        from_at,
        to_at,
        row_number() over (partition by allocation_ix order by from_at) as stretch_no
    from left_over
    where from_at < to_at
)

select
    allocated.allocation_ix,
    counting.stretch_no,
    counting.from_at,
    counting.to_at,
    allocated.person_key,
    allocated.machine_or_group,
    allocated.basis,
    allocated.clock,
    allocated.start_at,
    allocated.start_at_quality,
    allocated.end_at,
    allocated.area,
    allocated.areas,
    allocated.near,
    allocated.shift,
    allocated.shift_ref
from allocated
left join counting on allocated.allocation_ix = counting.allocation_ix

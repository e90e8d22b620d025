/*---
finding = "An allocation overlaps another one elsewhere, or lies outside its person's attendance."
says = "Allocation to {machine_or_group} from {start_at} to {end_at} ({basis}): {grounds}."
needs = ["allocations"]
criteria = []
clauses = ["Q 7.5.3", "A 5.3.2"]
pattern = "isolated"
strata = ["basis", "role"]
key = ["person_key", "machine_or_group", "start_at"]
basis = "allocations"
since = "0.1"

[uses]
attendances = "Allocations are not held against attendance: no attendances were given."
machines = "Every other place counts as apart: no machines were given, so areas are not known."
area_neighbours = "No area counts as another's neighbour: no neighbours were given."
---
## What it tests
Whether one person is allocated at one time to places that cannot be attended together, and whether
each allocation lies within that person's attendance.

## Why it matters
A swap at short notice or a move that nobody wrote down explains most of it. What remains says that
the staffing record cannot carry the weight of the tests that rest on it.

## Population
Every allocation. Its ref is the person's pseudonym, the place and the start; it stays on the
auditor's desk, and no report prints it. A planned allocation of a person who was elsewhere in fact
is void and not applicable; a watcher's allocation counts for attendance only.

## Not assessable
- The allocation has no time, or its time occurred twice that night.
- The person has no attendance rows at all.

## Traps
- Neighbouring areas can be attended together; machines of one area too.
- A gate clock and the area's clock differ: only what lies beyond their tolerance counts.
- Shared log-ins make one person stand in two places: a fact of its own.

## Ask next
Who updates this board after a move, on any shift, and when?

## Source
Control of recorded information: ISO 9001:2015 7.5.3; IATF 16949:2016 5.3.2 (memory). What can be
attended together: the plant's areas; common practice, no source.
*/
with

spans as (
    select
        allocations.*,
        coalesce(allocations.end_at, period.ends_at) as until_at,
        'ambiguous' in (allocations.start_at_quality, allocations.end_at_quality) as is_ambiguous,
        tolerance_s(allocations.clock, allocations.clock) as tolerance
    from allocations
    cross join period
),

places as (
    select
        machine_id as place,
        area
    from machines
    union
    select
        group_id as place,
        area
    from machines
    where group_id is not null
    union
    select
        area as place,
        area
    from machines
    where area is not null
),

placed as (
    select
        spans.*,
        places.area
    from spans
    left join places on spans.machine_or_group = places.place
),

near as (
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
    from places
),

clashes as (
    select
        one.row_ix,
        count(*) filter (where one.basis = other.basis) as n,
        count(*) filter (where one.basis = 'planned' and other.basis = 'actual') as n_void,
        max(
            date_diff(
                'second',
                case when one.start_at > other.start_at then one.start_at else other.start_at end,
                case when one.until_at < other.until_at then one.until_at else other.until_at end
            )
        ) filter (where one.basis = other.basis) as overlap_s
    from placed as one
    inner join placed as other
        on
            one.person_key = other.person_key
            and one.row_ix <> other.row_ix
            and one.machine_or_group <> other.machine_or_group
            and one.start_at < other.until_at
            and other.start_at < one.until_at
    left join near on one.area = near.area and other.area = near.neighbour
    where near.area is null and one.role <> 'watcher' and other.role <> 'watcher'
    group by one.row_ix
),

present as (
    select
        spans.row_ix,
        count(attendances.row_ix) as n,
        coalesce(sum(
            case
                when
                    attendances.in_at < spans.until_at
                    and coalesce(attendances.out_at, spans.until_at) > spans.start_at
                    then date_diff(
                        'second',
                        case
                            when attendances.in_at > spans.start_at
                                then attendances.in_at
                            else spans.start_at
                        end,
                        case
                            when coalesce(attendances.out_at, spans.until_at) < spans.until_at
                                then attendances.out_at
                            else spans.until_at
                        end
                    )
            end
        ), 0) as present_s,
        max(tolerance_s(spans.clock, attendances.clock)) as tolerance
    from spans
    left join attendances on spans.person_key = attendances.person_key
    group by spans.row_ix
),

judged as (
    select
        spans.*,
        coalesce(clashes.n, 0) as n_overlaps,
        coalesce(clashes.n_void, 0) > 0 and coalesce(clashes.n, 0) = 0 as is_void,
        clashes.overlap_s,
        present.n as n_attendances,
        date_diff('second', spans.start_at, spans.until_at) - present.present_s as absent_s,
        coalesce(present.tolerance, spans.tolerance) as slack
    from spans
    left join clashes using (row_ix)
    left join present using (row_ix)
),

grounds as (
    select
        *,
        n_overlaps > 0 and overlap_s > tolerance as is_double,
        exists (select 1 from attendances) and n_attendances > 0 and absent_s > slack as is_absent
    from judged
)

select
    grounds.person_key,
    grounds.machine_or_group,
    grounds.start_at,
    grounds.end_at,
    grounds.basis,
    grounds.role,
    concat_ws(
        ' and ',
        case when grounds.is_double then 'it overlaps another one that cannot be attended with it' end,
        case when grounds.is_absent then 'a part of it lies outside attendance' end
    ) as grounds,
    case when grounds.is_void then 'planned, and the person was elsewhere in fact' end as not_applicable,
    case
        when grounds.is_ambiguous then 'time ambiguous'
        when grounds.start_at is null then 'time missing'
        when grounds.is_double then null
        when exists (select 1 from attendances) and grounds.n_attendances = 0 then 'time missing'
    end as not_assessable,
    case
        when grounds.start_at is null then null
        when grounds.is_double then true
        when exists (select 1 from attendances) and grounds.n_attendances = 0 then null
        else grounds.is_absent
    end as exception,
    coalesce(abs(grounds.overlap_s - grounds.tolerance) <= 2 * grounds.tolerance, false)
    or (
        grounds.n_attendances > 0 and abs(grounds.absent_s - grounds.slack) <= 2 * grounds.slack
        and grounds.absent_s > 0
    ) as fragile
from grounds

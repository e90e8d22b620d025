/*---
finding = "An allocation overlaps another one too far away, or lies outside attendance."
says = "Allocation to {machine_or_group} from {start_at} to {end_at} ({allocation_basis}): {ground}. Longest overlap {overlap_s}, longest stretch outside attendance {outside_s}."
needs = ["allocations", "attendances", "machines.area"]
criteria = []
clauses = ["Q 7.5.3", "A 5.3.2"]
pattern = "isolated"
strata = ["area", "shift", "allocation_basis"]
key = ["person_key", "machine_or_group", "start_at"]
basis = "allocations"
since = "0.1"

[uses]
area_neighbours = "Areas count as apart from each other: no neighbourhood was given."
planned_breaks = "Clocking out for a break is not told apart: no breaks were given."
---
## What it tests
Whether the staffing record can be true: nobody allocated to two places at once that one person
cannot attend together, and nobody allocated while not clocked in.

## Why it matters
A board that was not brought up to date after a move explains most of these. But every test that
rests on the staffing record is only as good as that record: where it cannot be true, it weighs less.

## Population
Every allocation. Its ref is person or place, machine or group, and start. A planned one counts only
for the time in which the same person has no actual one elsewhere; one that counts for no time at all
is void and not applicable. Each allocation of an overlapping pair is an exception.

## Not assessable
- Its start is missing, or occurred twice that night.
- The person has no attendance on record at all, or did not clock out.
- It overlaps another one and the area of a place is not known.

## Traps
- Gate clock and terminal differ: overlaps and gaps count beyond the tolerance of the clocks.
- A group of machines lies in all areas of its machines; areas that neighbour are one for a person.
- Clocking out for a planned break is no absence.
- Swaps, staff who do not clock in, clocking out after overtime, a log-in that several share (a fact
  of its own).
- An allocation without an end lasts to the end of the shift in which it began.

## Ask next
Who brings this board up to date after a move, and when? May we see it now, beside the hall?

## Source
Control of recorded information: ISO 9001:2015 7.5.3; responsibility on all shifts: IATF 16949:2016
5.3.2 (memory). Tolerances of clocks: common practice, no source.
*/
with pairs as (
    select
        one.allocation_ix,
        list_has_any(one.near, other.areas) as is_near,
        tolerance_s(one.clock, other.clock) as tolerance,
        date_diff(
            'second',
            case when one.from_at > other.from_at then one.from_at else other.from_at end,
            case when one.to_at < other.to_at then one.to_at else other.to_at end
        ) as overlap_s
    from counted_allocations as one
    inner join counted_allocations as other
        on
            one.person_key = other.person_key
            and one.allocation_ix <> other.allocation_ix
            and one.machine_or_group <> other.machine_or_group
            and one.from_at < other.to_at
            and one.to_at > other.from_at
),

apart as (
    select
        allocation_ix,
        max(tolerance) as tolerance,
        max(overlap_s) filter (where not is_near) as overlap_s,
        bool_or(not is_near and overlap_s > tolerance) as is_double,
        bool_or(is_near is null and overlap_s > tolerance) as may_overlap
    from pairs
    group by allocation_ix
),

clocked as (
    select
        person_key,
        bool_or(in_at is null) as is_uncertain
    from attendances
    group by person_key
),

units as (
    select
        *,
        count(from_at) over (partition by allocation_ix) as stretches
    from counted_allocations
    where coalesce(stretch_no, 1) = 1
),

judged as (
    select
        units.*,
        apart.overlap_s,
        allocation_absences.outside_s,
        coalesce(apart.is_double, false) as is_double,
        coalesce(apart.may_overlap, false) as may_overlap,
        coalesce(
            allocation_absences.outside_s > allocation_absences.tolerance and not clocked.is_uncertain,
            false
        ) as is_outside,
        coalesce(allocation_absences.unsure_s > allocation_absences.tolerance, false) as may_be_outside,
        clocked.person_key is null as is_never_clocked,
        -- Fragile is what the clocks alone could turn: every ground within three tolerances.
        coalesce(apart.overlap_s, 0) <= 3 * coalesce(apart.tolerance, 0)
        and coalesce(allocation_absences.outside_s, 0) <= 3 * coalesce(allocation_absences.tolerance, 0)
        and coalesce(apart.overlap_s, 0) + coalesce(allocation_absences.outside_s, 0) > 0 as fragile
    from units
    left join apart on units.allocation_ix = apart.allocation_ix
    left join allocation_absences on units.allocation_ix = allocation_absences.allocation_ix
    left join clocked on units.person_key = clocked.person_key
)

select
    person_key,
    machine_or_group,
    start_at,
    end_at,
    basis as allocation_basis,
    area,
    shift,
    shift_ref,
    overlap_s,
    outside_s,
    fragile,
    case
        when
            is_double and is_outside
            then 'overlaps another one in an area apart, and reaches outside attendance'
        when is_double then 'overlaps another one in an area apart'
        when is_outside then 'reaches outside attendance'
    end as ground,
    case
        when start_at is not null and stretches = 0 and basis = 'planned'
            then 'void: an actual one elsewhere takes its place'
    end as not_applicable,
    case
        when start_at_quality = 'ambiguous' then 'time ambiguous'
        when start_at is null or is_never_clocked or may_be_outside then 'time missing'
        when may_overlap then 'the area of a place is not known'
    end as not_assessable,
    case
        when start_at is null then null
        when is_double or is_outside then true
        when not (is_never_clocked or may_be_outside or may_overlap) then false
    end as exception
from judged

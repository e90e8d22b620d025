/*---
finding = "Somebody was put to a machine in a role for which the records show no sufficient qualification then."
says = "At {place} from {start_at}, role {role}: {held} for {process} on {lacking_on}, level {required_level} required."
needs = ["allocations", "machines.process", "qualifications", "required_qualifications"]
criteria = []
clauses = ["Q 7.2", "A 7.2.1", "A 7.2.2"]
pattern = "depends"
strata = ["role", "attendance", "shift", "basis"]
key = ["person_key", "place", "start_at", "process"]
since = "0.1"
basis = "allocations"

[uses]
attendances = "A trainer counts as present while allocated: no clocked stays were given."
---
## What it tests
Whether whoever was put to a machine, as owner, watcher or in another role, held on every day of it
the level that the role needs for the process of that machine.

## Why it matters
The matrix may lag behind what people can do, and an entry that was forgotten is no lack of skill.
But where the matrix does not decide who is put where, it controls nothing.

## Population
Every allocation, for each process of its machines. Its ref is person, place, start and process; the
person stands there as a pseudonym. Planned allocations of people with an actual one then do not
count.

## Not assessable
- The start occurred twice that night.
- The process of the machine, or the level that the role needs, is not on record for that day.
- The person is not in the matrix at all, as when agency staff are kept in another list.
- The matrix begins later: nobody in it has an entry valid that early.

## Traps
- The level is the one valid on the day, never today's; days are the plant's and inclusive.
- An entry typed later but valid from before conforms here on paper; entries after the fact are the
  matter of bulk-qualification.
- A trainee conforms while the trainer named is present at the same machine, and qualified. Where no
  level is set for trainees, the operator's is asked for.
- A process that was renamed, and machine families, show as missing entries.

## Ask next
When people are moved at the start of a shift, who looks into the matrix, and what happens if
nobody fits? Let whoever is at the machine explain the reaction plan.

## Source
Competence: ISO 9001:2015 7.2; IATF 16949:2016 7.2.1, 7.2.2 (memory). A trainee beside the trainer:
common practice, no source.
*/
with

-- Each stay of a trainee at a machine, beside the stays of the trainer named for it.
trained as (
    select
        mine.allocation_ix,
        mine.machine_ix,
        mine.from_at,
        mine.to_at,
        theirs.from_at as trainer_at,
        theirs.to_at as trainer_to_at
    from staffing_spans as mine
    inner join allocations on mine.allocation_ix = allocations.row_ix
    left join staffing_spans as theirs
        on
            mine.machine_ix = theirs.machine_ix
            and allocations.trainer = theirs.person_key
            and mine.from_at < theirs.to_at
            and mine.to_at > theirs.from_at
            and theirs.is_present
            and theirs.is_qualified
            and not theirs.is_void
            and theirs.role != 'trainee'
    where mine.role = 'trainee' and mine.is_present and not mine.is_void
),

followed as (
    select
        *,
        max(trainer_to_at) over (
            partition by allocation_ix, machine_ix, from_at
            order by trainer_at, trainer_to_at
            rows between unbounded preceding and 1 preceding
        ) as trained_until
    from trained
),

stays as (
    select
        allocation_ix,
        coalesce(bool_and(trainer_at <= coalesce(trained_until, from_at)), false)
        and coalesce(max(trainer_to_at) >= max(to_at), false) as is_beside
    from followed
    group by allocation_ix, machine_ix, from_at
),

beside as (
    select
        allocation_ix,
        bool_and(is_beside) as is_beside
    from stays
    group by allocation_ix
),

machines_then as (
    select
        levels.allocation_ix,
        levels.process,
        levels.from_at,
        known_machines.area,
        attendance_spans.class
    from allocation_levels as levels
    inner join machine_places
        on levels.place = machine_places.place and levels.process = machine_places.process
    inner join known_machines on machine_places.machine_ix = known_machines.machine_ix
    asof left join attendance_spans
        on
            machine_places.machine_ix = attendance_spans.machine_ix
            and levels.from_at >= attendance_spans.from_at
),

places_then as (
    select
        allocation_ix,
        process,
        min(from_at) as from_at,
        min(area) as area,
        case when min(class) = max(class) then min(class) else 'mixed' end as attendance
    from machines_then
    group by allocation_ix, process
),

shifts_then as (
    select
        places_then.allocation_ix,
        places_then.process,
        places_then.attendance,
        case when places_then.from_at < shift_spans.end_at then shift_spans.shift_ix end as shift_ix
    from places_then
    asof left join shift_spans
        on places_then.area = shift_spans.area and places_then.from_at >= shift_spans.start_at
),

units as (
    select
        levels.*,
        shifts_then.attendance,
        shifts_then.shift_ix,
        allocations.start_at,
        allocations.start_at_quality,
        coalesce(beside.is_beside, false) as is_beside
    from allocation_levels as levels
    inner join allocations on levels.allocation_ix = allocations.row_ix
    left join shifts_then
        on levels.allocation_ix = shifts_then.allocation_ix and levels.process = shifts_then.process
    left join beside on levels.allocation_ix = beside.allocation_ix
)

select
    person_key,
    place,
    start_at,
    process,
    role,
    basis,
    attendance,
    lacking_on,
    required_level,
    shift_ix,
    coalesce('level ' || held_level, 'no valid level') as held,
    case
        when start_at_quality = 'ambiguous' then 'time ambiguous'
        when start_at is null then 'time missing'
        when lacking_on is not null and is_beside then null
        when process is null then 'process of the machine not on record'
        when lacking_on is null and not is_required then 'rule absent'
        when lacking_on is null then null
        when not is_listed then 'person not in the matrix'
        when not is_kept then 'the matrix begins later'
    end as not_assessable,
    case
        when lacking_on is null then case when is_required then false end
        when is_beside then false
        when is_listed and is_kept then true
    end as exception
from units

/*---
about = "one row per allocation and process of its machines, with the levels held and required"
criteria = []
sorted = ["allocation_ix", "process"]
---
For the days of the plant on which the allocation counts (a planned one not while the person has an
actual one); an allocation without a certain start, or to a place that no record knows, has a row
without a process. The latest valid version of each day decides. Where no level is set for trainees, the operator's serves.

`is_required`: a level is required on every day. `is_listed`: the person is in the matrix at all.
`is_kept`: on every day the matrix has some entry, of anybody, valid by then. `lacking_on` is the
first day on which the level held (null: none) was below the required one.
*/
with put as (
    select
        allocation_ix,
        person_key,
        place,
        role,
        basis,
        process,
        min(from_at) as from_at,
        max(to_at) as to_at
    from allocation_spans
    where not is_void
    group by allocation_ix, person_key, place, role, basis, process
    union all
    select
        row_ix as allocation_ix,
        person_key,
        machine_or_group as place,
        role,
        basis,
        null as process,
        start_at as from_at,
        end_at as to_at
    from allocations
    where
        start_at is null
        or machine_or_group not in (select machine_places.place from machine_places)
),

days as (
    select
        allocation_ix,
        process,
        person_key,
        role,
        unnest(range(local_date(from_at), local_date(to_at - interval 1 second) + 1, interval 1 day))
            as put_on
    from put
),

required_then as (
    select
        days.allocation_ix,
        days.process,
        days.person_key,
        days.put_on,
        arg_max(required.level, (required.role = days.role, required.valid_from)) as required_level
    from days
    left join required_qualifications as required
        on
            days.process = required.process
            and days.put_on >= required.valid_from
            and (days.role = required.role or (days.role = 'trainee' and required.role = 'operator'))
    group by days.allocation_ix, days.process, days.person_key, days.put_on
),

held_then as (
    select
        required_then.allocation_ix,
        required_then.process,
        required_then.put_on,
        required_then.required_level,
        arg_max(held.level, held.valid_from) as held_level
    from required_then
    left join qualifications as held
        on
            required_then.person_key = held.person_key
            and required_then.process = held.process
            and required_then.put_on >= held.valid_from
            and (required_then.put_on <= held.valid_to or held.valid_to is null)
    group by
        required_then.allocation_ix,
        required_then.process,
        required_then.put_on,
        required_then.required_level
),

compared as (
    select
        *,
        coalesce(held_level, 0) < required_level as is_lacking
    from held_then
),

judged as (
    select
        allocation_ix,
        process,
        min(put_on) as first_on,
        count(required_level) = count(*) as is_required,
        min(put_on) filter (where is_lacking) as lacking_on,
        arg_min({ 'held': held_level, 'required': required_level }, put_on) filter (where is_lacking)
            as lacking
    from compared
    group by allocation_ix, process
)

select
    put.allocation_ix,
    put.person_key,
    put.place,
    put.role,
    put.basis,
    put.process,
    put.from_at,
    put.to_at,
    cast(judged.lacking_on as date) as lacking_on,
    judged.lacking.held as held_level,
    judged.lacking.required as required_level,
    coalesce(judged.is_required, false) as is_required,
    put.person_key in (select qualifications.person_key from qualifications) as is_listed,
    coalesce(
        judged.first_on >= (select min(qualifications.valid_from) from qualifications), false
    ) as is_kept
from put
left join judged
    on put.allocation_ix = judged.allocation_ix and put.process is not distinct from judged.process

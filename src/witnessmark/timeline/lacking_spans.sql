/*---
about = "one row per person, process, role and stretch in which the level held was below the required one"
criteria = []
sorted = ["person_key", "process", "role", "from_at"]
---
The few, not the many: only what allocations ask for, only while the level is too low. Level and
requirement are read as of each day, the latest valid version winning. Before a requirement's first
day nothing is required. Where no qualification at all is on record nothing can be said, and nobody
lacks one.
*/
with put as (
    select distinct
        person_key,
        role,
        machine_or_group as place
    from allocations
    where exists (select 1 from qualifications)
),

asked as (
    select distinct
        put.person_key,
        put.role,
        machine_places.process
    from put
    inner join machine_places on put.place = machine_places.place
    where machine_places.process is not null
),

days as (
    select
        asked.person_key,
        asked.role,
        asked.process,
        required.valid_from as since
    from asked
    inner join required_qualifications as required
        on asked.process = required.process and asked.role = required.role
    union
    select
        asked.person_key,
        asked.role,
        asked.process,
        unnest([held.valid_from, held.valid_to + 1]) as since
    from asked
    inner join qualifications as held
        on asked.person_key = held.person_key and asked.process = held.process
),

required_then as (
    select
        days.person_key,
        days.role,
        days.process,
        days.since,
        arg_max(required.level, required.valid_from) as required_level
    from days
    inner join required_qualifications as required
        on
            days.process = required.process
            and days.role = required.role
            and days.since >= required.valid_from
    group by days.person_key, days.role, days.process, days.since
),

held_then as (
    select
        required_then.person_key,
        required_then.role,
        required_then.process,
        required_then.since,
        required_then.required_level,
        coalesce(arg_max(held.level, held.valid_from), 0) as held_level
    from required_then
    left join qualifications as held
        on
            required_then.person_key = held.person_key
            and required_then.process = held.process
            and required_then.since >= held.valid_from
            and required_then.since <= coalesce(held.valid_to, required_then.since)
    group by
        required_then.person_key,
        required_then.role,
        required_then.process,
        required_then.since,
        required_then.required_level
),

followed as (
    select
        *,
        lead(since) over (partition by person_key, role, process order by since) as until_on
    from held_then
)

select
    person_key,
    process,
    role,
    utc_time(cast(since as timestamp)) as from_at,
    coalesce(utc_time(cast(until_on as timestamp)), timestamp '9999-12-31') as to_at
from followed
where held_level < required_level

/*---
about = "one row per scenario, group or area and stretch with the same number of people put to it"
criteria = []
sorted = ["scenario", "place", "from_at"]
---
People count once each, while present, in a role that attends; a person may stand on the board
twice. `n_machines` is the number of machines of the place.
*/
with put as (
    select distinct
        scenario,
        place,
        person_key,
        from_at,
        to_at
    from scenario_staff
    where place_kind <> 'machine' and is_attending_role and is_present
),

person_events as (
    select
        scenario,
        place,
        person_key,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from put
),

person_moments as (
    select
        scenario,
        place,
        person_key,
        event_at,
        sum(step) as step
    from person_events
    group by scenario, place, person_key, event_at
),

person_swept as (
    select
        scenario,
        place,
        event_at,
        step,
        sum(step) over (partition by scenario, place, person_key order by event_at) as times
    from person_moments
),

moments as (
    select
        scenario,
        place,
        event_at,
        sum(case when times > 0 then 1 else 0 end - case when times > step then 1 else 0 end) as step
    from person_swept
    group by scenario, place, event_at
),

swept as (
    select
        scenario,
        place,
        cast(sum(step) over in_time as bigint) as heads,
        event_at as from_at,
        lead(event_at) over in_time as to_at
    from moments
    where step <> 0
    window in_time as (partition by scenario, place order by event_at)
),

sizes as (
    select
        place,
        place_kind,
        min(area) as area,
        count(*) as n_machines
    from machine_places
    group by place, place_kind
)

select
    swept.scenario,
    swept.place,
    swept.from_at,
    swept.to_at,
    swept.heads,
    sizes.place_kind,
    sizes.area,
    sizes.n_machines
from swept
inner join sizes on swept.place = sizes.place
where swept.heads > 0

/*---
about = "one row per scenario, machine and stretch in which its group or area had people, and whether enough"
criteria = []
sorted = ["scenario", "machine_ix", "from_at"]
---
An allocation to a group answers for as many running machines as its people may look after: their
number times `max_machines_per_person`. More running: `short`; else `enough`; nothing written:
`no number`.
*/
with people as (
    select distinct
        scenario,
        place,
        place_kind,
        area
    from place_heads
),

spans as (
    select
        scenario,
        place,
        'heads' as what,
        from_at,
        to_at,
        heads as step
    from place_heads
    union all
    select
        people.scenario,
        people.place,
        'running' as what,
        running_states.from_at,
        running_states.to_at,
        1 as step
    from people
    inner join machine_places on people.place = machine_places.place
    inner join running_states
        on machine_places.machine_ix = running_states.machine_ix and running_states.state = 'running'
    union all
    select
        people.scenario,
        people.place,
        'limit' as what,
        staffing_limits.from_at,
        staffing_limits.to_at,
        staffing_limits.max_machines as step
    from people
    inner join staffing_limits on people.area = staffing_limits.area
    where staffing_limits.max_machines is not null
    union all
    select
        people.scenario,
        people.place,
        'limited' as what,
        staffing_limits.from_at,
        staffing_limits.to_at,
        1 as step
    from people
    inner join staffing_limits on people.area = staffing_limits.area
    where staffing_limits.max_machines is not null
),

events as (
    select
        scenario,
        place,
        what,
        unnest([from_at, to_at]) as event_at,
        unnest([step, -step]) as step
    from spans
),

moments as (
    select
        scenario,
        place,
        event_at,
        coalesce(sum(step) filter (where what = 'heads'), 0) as heads,
        coalesce(sum(step) filter (where what = 'running'), 0) as running,
        coalesce(sum(step) filter (where what = 'limit'), 0) as max_machines,
        coalesce(sum(step) filter (where what = 'limited'), 0) as limited
    from events
    group by scenario, place, event_at
),

swept as (
    select
        scenario,
        place,
        event_at,
        sum(heads) over in_time as heads,
        sum(running) over in_time as running,
        sum(max_machines) over in_time as max_machines,
        sum(limited) over in_time as limited
    from moments
    window in_time as (partition by scenario, place order by event_at)
),

judged as (
    select
        scenario,
        place,
        event_at,
        case
            when heads = 0 then 'nobody'
            when limited = 0 then 'no number'
            when running > heads * max_machines then 'short'
            else 'enough'
        end as verdict
    from swept
),

compared as (
    select
        *,
        lag(verdict) over (partition by scenario, place order by event_at) as last_verdict
    from judged
),

changes as (
    select
        scenario,
        place,
        verdict,
        event_at as from_at,
        lead(event_at) over (partition by scenario, place order by event_at) as to_at
    from compared
    where verdict is distinct from last_verdict
)

select
    changes.scenario,
    changes.from_at,
    changes.to_at,
    changes.verdict,
    machine_places.machine_ix,
    machine_places.place_kind
from changes
inner join machine_places on changes.place = machine_places.place
where changes.verdict <> 'nobody'

/*---
about = "one row per scenario, watcher, machine watched and stretch, and whether the rules bear it"
criteria = []
sorted = ["scenario", "machine_ix", "from_at"]
---
`within`: a rule valid then allows watching, and the machines owned and watched by that person are
no more than it allows; `beyond` the number; `no rule` allows it. Machines count once each, whether
owned or watched. A person put to a group as operator owns their share of its machines, rounded up.
*/
with watches as (
    select
        scenario,
        machine_ix,
        person_key,
        from_at,
        to_at
    from scenario_staff
    where role = 'watcher' and is_present
),

watchers as (
    select distinct
        scenario,
        person_key
    from watches
),

pairs as (
    select distinct
        watches.scenario,
        watches.machine_ix,
        watches.person_key,
        known_machines.area
    from watches
    inner join known_machines on watches.machine_ix = known_machines.machine_ix
),

-- Machines by name: each counts while it is owned or watched at least once.
single_events as (
    select
        staff.scenario,
        staff.person_key,
        staff.machine_ix,
        unnest([staff.from_at, staff.to_at]) as event_at,
        unnest([1, -1]) as step
    from scenario_staff as staff
    inner join watchers
        on staff.scenario = watchers.scenario and staff.person_key = watchers.person_key
    where
        staff.is_present
        and (staff.role = 'watcher' or (staff.role = 'operator' and staff.place_kind = 'machine'))
),

single_moments as (
    select
        scenario,
        person_key,
        machine_ix,
        event_at,
        sum(step) as step
    from single_events
    group by scenario, person_key, machine_ix, event_at
),

single_swept as (
    select
        *,
        sum(step) over (
            partition by scenario, person_key, machine_ix order by event_at
        ) as times
    from single_moments
),

-- Groups: each counts with its share while the person is put to it.
group_people as (
    select distinct
        staff.scenario,
        staff.place,
        staff.person_key,
        staff.from_at,
        staff.to_at
    from scenario_staff as staff
    inner join watchers
        on staff.scenario = watchers.scenario and staff.person_key = watchers.person_key
    where staff.is_present and staff.role = 'operator' and staff.place_kind <> 'machine'
),

members as (
    select distinct
        scenario,
        place,
        person_key
    from group_people
),

group_spans as (
    select
        scenario,
        place,
        person_key,
        from_at,
        to_at,
        1 as here,
        0 as portion
    from group_people
    union all
    select
        members.scenario,
        members.place,
        members.person_key,
        place_heads.from_at,
        place_heads.to_at,
        0 as here,
        (place_heads.n_machines + place_heads.heads - 1) // place_heads.heads as portion
    from members
    inner join place_heads
        on members.scenario = place_heads.scenario and members.place = place_heads.place
),

group_events as (
    select
        scenario,
        place,
        person_key,
        unnest([from_at, to_at]) as event_at,
        unnest([here, -here]) as here,
        unnest([portion, -portion]) as portion
    from group_spans
),

group_moments as (
    select
        scenario,
        place,
        person_key,
        event_at,
        sum(here) as here,
        sum(portion) as portion
    from group_events
    group by scenario, place, person_key, event_at
),

group_swept as (
    select
        scenario,
        place,
        person_key,
        event_at,
        case when sum(here) over in_time > 0 then sum(portion) over in_time else 0 end as machines_owned
    from group_moments
    window in_time as (partition by scenario, place, person_key order by event_at)
),

loads as (
    select
        scenario,
        person_key,
        event_at,
        case when times > 0 then 1 else 0 end - case when times > step then 1 else 0 end as step
    from single_swept
    union all
    select
        scenario,
        person_key,
        event_at,
        machines_owned - coalesce(
            lag(machines_owned) over (partition by scenario, place, person_key order by event_at), 0
        ) as step
    from group_swept
),

limits as (
    select
        pairs.scenario,
        pairs.machine_ix,
        pairs.person_key,
        staffing_limits.from_at,
        staffing_limits.to_at,
        staffing_limits.max_machines
    from pairs
    inner join staffing_limits on pairs.area = staffing_limits.area
    where staffing_limits.is_watching_allowed
),

events as (
    select
        scenario,
        machine_ix,
        person_key,
        'watch' as what,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from watches
    union all
    select
        pairs.scenario,
        pairs.machine_ix,
        pairs.person_key,
        'load' as what,
        loads.event_at,
        loads.step
    from pairs
    inner join loads on pairs.scenario = loads.scenario and pairs.person_key = loads.person_key
    where loads.step <> 0
    union all
    select
        scenario,
        machine_ix,
        person_key,
        'allowed' as what,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from limits
    union all
    select
        scenario,
        machine_ix,
        person_key,
        'limited' as what,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from limits
    where max_machines is not null
    union all
    select
        scenario,
        machine_ix,
        person_key,
        'limit' as what,
        unnest([from_at, to_at]) as event_at,
        unnest([max_machines, -max_machines]) as step
    from limits
    where max_machines is not null
),

moments as (
    select
        scenario,
        machine_ix,
        person_key,
        event_at,
        coalesce(sum(step) filter (where what = 'watch'), 0) as watching,
        coalesce(sum(step) filter (where what = 'load'), 0) as machines,
        coalesce(sum(step) filter (where what = 'allowed'), 0) as allowed,
        coalesce(sum(step) filter (where what = 'limited'), 0) as limited,
        coalesce(sum(step) filter (where what = 'limit'), 0) as max_machines
    from events
    group by scenario, machine_ix, person_key, event_at
),

swept as (
    select
        scenario,
        machine_ix,
        person_key,
        event_at as from_at,
        lead(event_at) over in_time as to_at,
        sum(watching) over in_time as watching,
        sum(machines) over in_time as machines,
        sum(allowed) over in_time as allowed,
        sum(limited) over in_time as limited,
        sum(max_machines) over in_time as max_machines
    from moments
    window in_time as (partition by scenario, machine_ix, person_key order by event_at)
)

select
    scenario,
    machine_ix,
    person_key,
    from_at,
    to_at,
    machines,
    case
        when allowed = 0 then 'no rule'
        when limited > 0 and machines > max_machines then 'beyond'
        else 'within'
    end as verdict
from swept
where watching > 0

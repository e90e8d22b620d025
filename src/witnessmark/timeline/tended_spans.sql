/*---
about = "one row per scenario, machine and stretch with the same answer to who was there"
criteria = []
sorted = ["scenario", "machine_ix", "from_at"]
---
Steps 0 to 3 of the attendance class; `tending` is null where nobody attended or covered, and `step`
then says why. `has_watcher`: a watcher or leader was present. Everything is counted in one sweep of
what begins and ends on a machine.
*/
with spans as (
    select
        scenario,
        machine_ix,
        from_at,
        to_at,
        unnest(
            list_filter(
                [
                    case when is_attending_role or role = 'watcher' then 'allocated' end,
                    case when is_attending_role and is_present then 'present' end,
                    case when attends then place_kind end,
                    case when is_present and role in ('watcher', 'leader') then 'watcher' end
                ],
                lambda word: word is not null
            )
        ) as what
    from scenario_staff
    union all
    select
        scenario,
        machine_ix,
        from_at,
        to_at,
        place_kind || ' ' || verdict as what
    from group_numbers
    union all
    select
        scenario,
        machine_ix,
        from_at,
        to_at,
        'watch ' || verdict as what
    from watch_spans
    union all
    select
        staffed_shifts.scenario,
        known_machines.machine_ix,
        staffed_shifts.from_at,
        staffed_shifts.to_at,
        'staffed' as what
    from staffed_shifts
    inner join known_machines on staffed_shifts.area = coalesce(known_machines.area, '')
),

events as (
    select
        scenario,
        machine_ix,
        what,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from spans
    union all
    select
        unnest(['recorded', 'planned', 'unqualified']) as scenario,
        machines_in_period.*
    from (
        select
            known_machines.machine_ix,
            'period' as what,
            unnest([period.starts_at, period.ends_at]) as event_at,
            0 as step
        from known_machines
        cross join period
    ) as machines_in_period
),

moments as (
    select
        scenario,
        machine_ix,
        event_at,
        sum(step) filter (where what = 'staffed') as staffed,
        sum(step) filter (where what = 'allocated') as allocated,
        sum(step) filter (where what = 'present') as present,
        sum(step) filter (where what = 'watcher') as watchers,
        sum(step) filter (where what = 'machine') as by_machine,
        sum(step) filter (where what = 'group') as by_group,
        sum(step) filter (where what = 'area') as by_area,
        sum(step) filter (where what = 'group short') as group_short,
        sum(step) filter (where what = 'area short') as area_short,
        sum(step) filter (where what = 'group no number') as group_open,
        sum(step) filter (where what = 'area no number') as area_open,
        sum(step) filter (where what = 'watch within') as watched,
        sum(step) filter (where what = 'watch beyond') as watch_beyond,
        sum(step) filter (where what = 'watch no rule') as watch_without
    from events
    where event_at is not null
    group by scenario, machine_ix, event_at
),

swept as (
    select
        scenario,
        machine_ix,
        event_at as from_at,
        lead(event_at) over in_time as to_at,
        coalesce(sum(staffed) over in_time, 0) > 0 as is_staffed,
        coalesce(sum(allocated) over in_time, 0) > 0 as is_allocated,
        coalesce(sum(present) over in_time, 0) > 0 as is_present,
        coalesce(sum(watchers) over in_time, 0) > 0 as has_watcher,
        coalesce(sum(by_machine) over in_time, 0) > 0 as by_machine,
        coalesce(sum(by_group) over in_time, 0) > 0 as by_group,
        coalesce(sum(by_area) over in_time, 0) > 0 as by_area,
        coalesce(sum(group_short) over in_time, 0) > 0 as group_short,
        coalesce(sum(area_short) over in_time, 0) > 0 as area_short,
        coalesce(sum(group_open) over in_time, 0) > 0 as group_open,
        coalesce(sum(area_open) over in_time, 0) > 0 as area_open,
        coalesce(sum(watched) over in_time, 0) > 0 as watched,
        coalesce(sum(watch_beyond) over in_time, 0) > 0 as watch_beyond,
        coalesce(sum(watch_without) over in_time, 0) > 0 as watch_without
    from moments
    window in_time as (partition by scenario, machine_ix order by event_at)
),

clipped as (
    select swept.*
    from swept
    inner join period on swept.from_at >= period.starts_at and swept.to_at <= period.ends_at
),

stepped as (
    select
        scenario,
        machine_ix,
        from_at,
        to_at,
        has_watcher,
        case
            when not is_staffed then '0 no staffing row for the area and shift'
            when by_machine then '2 attended: machine allocation'
            when by_group and group_open then '2 attended: group, no number documented'
            when by_group and not group_short then '2 attended: group allocation'
            when by_area and area_open then '2 attended: area, no number documented'
            when by_area and not area_short then '2 attended: area allocation'
            when watched then '3 covered: watcher'
            when by_group or by_area then '5 uncovered: more machines running than the group may have'
            when watch_beyond then '5 uncovered: watcher beyond the number of machines'
            when watch_without then '5 uncovered: no rule allows watching'
            when is_present then '5 uncovered: present, not qualified'
            when is_allocated then '5 uncovered: allocated, not present or on a break'
            else '5 uncovered: nobody allocated'
        end as step
    from clipped
),

compared as (
    select
        *,
        coalesce(
            step = lag(step) over in_time and has_watcher = lag(has_watcher) over in_time, false
        ) as goes_on
    from stepped
    window in_time as (partition by scenario, machine_ix order by from_at)
),

numbered as (
    select
        *,
        count(*) filter (where not goes_on) over (
            partition by scenario, machine_ix order by from_at
        ) as span_no
    from compared
)

select
    scenario,
    machine_ix,
    min(from_at) as from_at,
    max(to_at) as to_at,
    min(step) as step,
    bool_or(has_watcher) as has_watcher,
    case left(min(step), 1)
        when '0' then 'not-assessable'
        when '2' then 'attended'
        when '3' then 'covered'
    end as tending
from numbered
group by scenario, machine_ix, span_no

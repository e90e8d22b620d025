/*---
about = "one row per machine and stretch of the same attendance class, decided by the same step"
criteria = []
sorted = ["machine_ix", "from_at"]
---
Puts steps 0 to 3 and step 4 together and sets the three readings of the board side by side: the
class, the class had only the plan existed, and the class with qualification left aside. Spans cover
the period and are as long as all of these stay the same.
*/
with permitted_edges as (
    select
        scenario,
        machine_ix,
        verdict,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from permitted_spans
),

events as (
    select
        scenario,
        machine_ix,
        from_at as event_at,
        step as why,
        0 as holds,
        0 as too_long,
        0 as unmet
    from tended_spans
    union all
    select
        scenario,
        machine_ix,
        event_at,
        null as why,
        case verdict when 'holds' then step else 0 end as holds,
        case verdict when 'too long' then step else 0 end as too_long,
        case verdict when 'condition' then step else 0 end as unmet
    from permitted_edges
),

moments as (
    select
        scenario,
        machine_ix,
        event_at,
        max(why) as why,
        sum(holds) as holds,
        sum(too_long) as too_long,
        sum(unmet) as unmet
    from events
    group by scenario, machine_ix, event_at
),

carried as (
    select
        scenario,
        machine_ix,
        event_at,
        last_value(why ignore nulls) over in_time as why,
        sum(holds) over in_time as holds,
        sum(too_long) over in_time as too_long,
        sum(unmet) over in_time as unmet
    from moments
    window in_time as (partition by scenario, machine_ix order by event_at)
),

decided as (
    select
        scenario,
        machine_ix,
        event_at,
        case
            when not starts_with(why, '5') then why
            when holds > 0 then '4 authorised: permission'
            when too_long > 0 then '5 uncovered: longer than permitted'
            when unmet > 0 then '5 uncovered: a condition of the permission is not met'
            else why
        end as why
    from carried
    where why is not null
),

classed as (
    select
        *,
        case left(why, 1)
            when '0' then 'not-assessable'
            when '2' then 'attended'
            when '3' then 'covered'
            when '4' then 'authorised'
            else 'uncovered'
        end as found
    from decided
),

side_by_side as (
    select
        machine_ix,
        event_at,
        max(found) filter (where scenario = 'recorded') as found,
        max(why) filter (where scenario = 'recorded') as why,
        max(found) filter (where scenario = 'planned') as found_planned,
        max(found) filter (where scenario = 'unqualified') as found_unqualified
    from classed
    group by machine_ix, event_at
),

filled as (
    select
        machine_ix,
        event_at,
        last_value(found ignore nulls) over in_time as found,
        last_value(why ignore nulls) over in_time as why,
        last_value(found_planned ignore nulls) over in_time as found_planned,
        last_value(found_unqualified ignore nulls) over in_time as found_unqualified
    from side_by_side
    window in_time as (partition by machine_ix order by event_at)
),

clipped as (
    select
        filled.*,
        period.ends_at
    from filled
    inner join period on filled.event_at >= period.starts_at and filled.event_at < period.ends_at
),

compared as (
    select
        *,
        lag((found, why, found_planned, found_unqualified)) over (
            partition by machine_ix order by event_at
        ) as last_found
    from clipped
),

changes as (
    select
        *,
        coalesce(lead(event_at) over (partition by machine_ix order by event_at), ends_at) as to_at
    from compared
    where last_found is distinct from (found, why, found_planned, found_unqualified)
)

select
    machine_ix,
    event_at as from_at,
    to_at,
    found as class, -- noqa: RF04
    why as deciding_step,
    found_planned as class_planned_only,
    found_unqualified as class_without_qualification
from changes

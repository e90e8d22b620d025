/*---
finding = "Overtime production has become part of the normal plan, or the plan asks for more than regular hours give."
says = "Area {area}, week {week}: {ground}. Overtime production in {overtime_weeks} of the 13 weeks up to this one; machine time by the plan {required_s}, in regular shifts {regular_s}."
needs = ["overtime_entries|shift_instances.overtime", "outputs|machine_states|runs"]
criteria = ["overtime_weeks"]
clauses = ["Q 7.1.2", "A 7.1.3.1", "A 6.1.2.3", "A 9.3.2.1"]
pattern = "systemic"
strata = ["area"]
key = ["area", "week"]
since = "0.1"

[uses]
overtime_entries = "Overtime is known from the shift calendar only: no overtime entries were given."
shift_instances = "Overtime is known from booked hours only: no shift calendar was given."
routings = "Required hours are not held against regular ones: no ideal cycles were given."
schedule_lines = "Required hours are not held against regular ones: no schedule was given."
---
## What it tests
Whether an area produces in overtime as a rule (in 8 of 13 weeks), and whether the frozen plan, at
the rate that the area really demonstrates, asks for more machine time than its regular shifts have.

## Why it matters
Overtime is a normal way to meet a peak or a launch. Overtime every week may mean that the weekend
has become part of the plan, while its staffing, authority, maintenance and checks have not.

## Population
Area and week (Monday to Sunday), from the first to the last week of the area's records. Its ref is
area and week. A week is an exception if it produced in overtime and at least 8 of the 13 weeks that
end with it did; or if the required time exceeds the regular time.

## Not assessable
- Fewer than 13 weeks on record, and the missing ones could decide.
- Overtime is not told apart as direct on a day with regular shifts, or nobody can tell whether
  anything was made.
- Some planned part has no ideal cycle, or no demonstrated rate can be told, and that could decide.

## Traps
- Hours said to be indirect (stocktaking, cleaning) never count.
- Hours count for an area only if booked to it by name; those of persons are not taken apart.
- A blank board on a Sunday does not mean that nothing was made.
- Making up for scrap is overtime too: a quality loss in other clothes.
- Launches and holidays explain single weeks, hardly eight of thirteen.
- Whether capacity was reported as sufficient is not on record: ask.

## Ask next
In which week did regular hours suffice? Which checks, which authority and which maintenance were
planned for last Saturday? Compare weekend rates of shift-without-authority, first-off-missing,
check-interval-exceeded and challenge-missed with those of weekdays.

## Source
People and environment for operation: ISO 9001:2015 7.1.2; plant planning, contingency plans,
management review input: IATF 16949:2016 7.1.3.1, 6.1.2.3 and 9.3.2.1 (memory). Eight of thirteen
weeks: common practice, no source.
*/
with ranges as (
    select
        area,
        date_trunc('week', min(day_on)) as first_on,
        date_trunc('week', max(day_on)) as last_on
    from overtime_days
    group by area
),

weeks as (
    select
        area,
        cast(unnest(range(first_on, last_on + interval 1 day, interval 7 day)) as date) as week_from
    from ranges
),

counted as (
    select
        weeks.area,
        weeks.week_from,
        case
            when bool_or(overtime_days.in_overtime) then true
            when count(overtime_days.area) = count(overtime_days.in_overtime) then false
        end as in_overtime
    from weeks
    left join overtime_days
        on
            weeks.area = overtime_days.area
            and weeks.week_from = cast(date_trunc('week', overtime_days.day_on) as date)
    group by weeks.area, weeks.week_from
),

summed as (
    select
        *,
        count(*) over thirteen as weeks_on_record,
        count(*) filter (where in_overtime) over thirteen as overtime_weeks,
        13 - count(*) filter (where in_overtime is not null) over thirteen as unknown_weeks
    from counted
    window thirteen as (
        partition by area order by week_from rows between 12 preceding and current row
    )
),

given as (
    select exists (select 1 from routings) and exists (select 1 from schedule_lines) as has_plan
),

judged as (
    select
        summed.*,
        capacity_weeks.required_s,
        capacity_weeks.regular_s,
        strftime(summed.week_from, '%G-W%V') as week,
        case
            when not summed.in_overtime then false
            when summed.overtime_weeks + summed.unknown_weeks < $overtime_weeks then false
            when summed.in_overtime and summed.overtime_weeks >= $overtime_weeks then true
        end as is_standing,
        case
            when not given.has_plan or not coalesce(capacity_weeks.is_planned, false) then false
            when capacity_weeks.required_s > capacity_weeks.regular_s then true
            when capacity_weeks.required_s is not null and capacity_weeks.lines_without_cycle = 0 then false
        end as is_short
    from summed
    cross join given
    left join capacity_weeks
        on
            summed.area = capacity_weeks.area
            and summed.week_from = capacity_weeks.week_from
)

select
    area,
    week,
    overtime_weeks,
    required_s,
    regular_s,
    case
        when is_standing and is_short then 'overtime as a rule, and more planned than regular shifts have'
        when is_standing then 'overtime as a rule'
        when is_short then 'more planned than regular shifts have'
    end as ground,
    case
        when is_standing is null and weeks_on_record < 13 then 'fewer than thirteen weeks on record'
        when is_standing is null then 'overtime not told apart'
        when is_short is null then 'rule absent: no ideal cycle or no demonstrated rate'
    end as not_assessable,
    is_standing or is_short as exception
from judged

/*---
finding = "An area produced in overtime in so many weeks that overtime is part of the plan."
says = "Area {area}, week {week}: {hours} h of direct overtime; overtime production in {n_weeks} of the {n_window} weeks around it."
needs = ["overtime_entries|shift_instances.overtime"]
criteria = ["overtime_weeks"]
clauses = ["Q 7.1.2", "A 7.1.3.1", "A 6.1.2.3", "A 9.3.2.1"]
pattern = "systemic"
strata = ["area"]
key = ["area", "week"]
since = "0.1"

[uses]
overtime_entries = "Overtime is taken from overtime shifts alone: no overtime entries were given."
shift_instances = "Overtime is taken from overtime entries alone: no shifts were given."
outputs = "Production in overtime shifts is known from machine records alone: no outputs were given."
runs = "Production in overtime shifts is known from other records alone: no runs were given."
---
## What it tests
Whether an area made product in overtime in at least the plant's number of thirteen weeks in a row
(eight by default).

## Why it matters
A launch, a stocktake or a holiday explains some weeks. Where most weeks need overtime, the weekend
is part of the plan without its staffing, authority, maintenance or checks, and a loss elsewhere may
be what it makes up for. Compare the weekend's rates of the other tests with those of weekdays.

## Population
Every area and ISO week of the data in which the area is known. Its ref is area and week. A week is
an exception if it had overtime production and lies in thirteen weeks in a row with at least that
many such weeks.

## Not assessable
- The data hold fewer than thirteen weeks, and the weeks outside them could make up the number.

## Traps
- Overtime that is not direct (stocktake, training) is none.
- Overtime by person names no area and is left out.
- Whether regular hours suffice at the demonstrated rate is another question: no table states the
  capacity that was reported, so that ground is left out here.

## Ask next
In which week did regular hours suffice? What would stay undone if this weekend were not worked?

## Source
Resources and capacity: ISO 9001:2015 7.1.2; IATF 16949:2016 7.1.3.1, 6.1.2.3, 9.3.2.1 (memory).
Eight of thirteen weeks: common practice, no source.
*/
with

areas as (
    select distinct area from known_machines where area is not null
    union
    select distinct area from shift_spans
),

span as (
    select
        date_trunc('week', local_date(starts_at))::date as first_week,
        date_trunc('week', local_date(ends_at - to_seconds(1)))::date as last_week
    from period
    where starts_at < ends_at
),

weeks as (
    select
        areas.area,
        cast(unnest(generate_series(
            cast(span.first_week as timestamp), cast(span.last_week as timestamp), to_days(7)
        )) as date) as monday
    from areas
    cross join span
),

entries as (
    select
        area_or_person as area,
        date_trunc('week', worked_on)::date as monday,
        sum(hours) as hours
    from overtime_entries
    where coalesce(direct, true) and hours > 0
    group by all
),

shifts as (
    select distinct
        area,
        date_trunc('week', production_date)::date as monday
    from shift_production
    where overtime and produced
),

worked as (
    select
        weeks.area,
        weeks.monday,
        coalesce(entries.hours, 0) as hours,
        cast(entries.monday is not null or shifts.monday is not null as integer) as is_overtime
    from weeks
    left join entries on weeks.area = entries.area and weeks.monday = entries.monday
    left join shifts on weeks.area = shifts.area and weeks.monday = shifts.monday
),

-- Thirteen weeks in a row that end with each week; in shorter data, all there are.
counted as (
    select
        *,
        sum(is_overtime) over last_13 as n_last,
        count(*) over last_13 as n_in_window,
        count(*) over (partition by area) as n_data
    from worked
    window last_13 as (partition by area order by monday rows between 12 preceding and current row)
),

judged as (
    select
        *,
        max(case when n_in_window = 13 or n_data < 13 then n_last end) over (
            partition by area order by monday rows between current row and 12 following
        ) as n_weeks,
        case when n_data < 13 then n_data else 13 end as n_window
    from counted
)

select
    area,
    hours,
    cast(n_weeks as bigint) as n_weeks,
    n_window,
    strftime(monday, '%G-W%V') as week,
    case
        when is_overtime = 1 and n_weeks < $overtime_weeks and n_weeks + 13 - n_window >= $overtime_weeks
            then 'window still open'
    end as not_assessable,
    case
        when is_overtime = 0 then false
        when n_weeks >= $overtime_weeks then true
        when n_weeks + 13 - n_window < $overtime_weeks then false
    end as exception
from judged

/*---
about = "one row per area and calendar day: whether it is a working day, and its number among them"
criteria = []
sorted = ["area", "day_on"]
---
Monday to Friday work, unless the works calendar of the area says otherwise for a day. `work_no`
counts the working days up to and including the day: the n-th working day after a day is the one
that works and whose number is larger by n. The calendar goes 60 days beyond the records.
*/
with areas as (
    select area from known_machines
    union
    select area from shift_instances
    union
    select area from board_statuses
    union
    select area from working_days
),

named as (
    select
        local_date(starts_at) as first_on,
        local_date(ends_at) as last_on
    from period
    union all
    select
        production_date as first_on,
        production_date as last_on
    from board_statuses
    union all
    select
        day as first_on,
        day as last_on
    from working_days
),

bounds as (
    select
        min(first_on) as first_on,
        max(last_on) + 60 as last_on
    from named
),

days as (
    select cast(unnest(range(first_on, last_on + 1, interval 1 day)) as date) as day_on
    from bounds
),

judged as (
    select
        areas.area,
        days.day_on,
        coalesce(working_days.works, isodow(days.day_on) <= 5) as works
    from areas
    cross join days
    left join working_days
        on
            areas.area = working_days.area
            and days.day_on = working_days.day
    where areas.area is not null
)

select
    area,
    day_on,
    works,
    cast(count(*) filter (where works) over (partition by area order by day_on) as integer) as work_no
from judged

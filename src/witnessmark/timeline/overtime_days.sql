/*---
about = "one row per area and day that its records name: whether it produced in overtime"
criteria = []
sorted = ["area", "day_on"]
---
Production in overtime is a shift worked as overtime in which something was made; or overtime booked
to the area by name on a day with production, where the hours are said to be direct or the shift
calendar knows no regular shift on that day. Hours said to be indirect never count. `in_overtime` is
null where nobody can tell: hours not told apart on a day with regular shifts, or production unknown.

The calendar speaks for all days of the weeks from its first to its last shift of the area.
*/
with shifts as (
    select
        area,
        production_date as day_on,
        bool_or(overtime and produced) as has_overtime_shift,
        coalesce(bool_or(overtime and produced is null), false) as has_doubtful_shift,
        bool_or(produced) as produced,
        coalesce(bool_or(not overtime), false) as has_regular_shift
    from shift_production
    group by area, production_date
),

reaches as (
    select
        area,
        date_trunc('week', min(production_date)) as first_on,
        date_trunc('week', max(production_date)) + interval 6 day as last_on
    from shift_instances
    group by area
),

-- Hours of persons stand in the same table under other names.
booked as (
    select
        overtime_entries.area_or_person as area,
        overtime_entries.worked_on as day_on,
        overtime_entries.direct
    from overtime_entries
    where
        overtime_entries.hours > 0
        and overtime_entries.area_or_person in (select known_machines.area from known_machines)
),

days as (
    select
        shifts.has_overtime_shift,
        shifts.has_doubtful_shift,
        shifts.produced,
        booked.direct,
        coalesce(shifts.area, booked.area) as area,
        coalesce(shifts.day_on, booked.day_on) as day_on,
        coalesce(shifts.has_regular_shift, false) as has_regular_shift,
        booked.area is not null as is_booked
    from shifts
    full join booked
        on
            shifts.area = booked.area
            and shifts.day_on = booked.day_on
),

judged as (
    select
        days.area,
        days.day_on,
        days.produced,
        days.has_overtime_shift,
        days.has_doubtful_shift,
        days.is_booked and coalesce(days.direct, true) as is_candidate,
        coalesce(days.direct, false)
        or (
            not days.has_regular_shift
            and coalesce(days.day_on between reaches.first_on and reaches.last_on, false)
        ) as is_outside
    from days
    left join reaches on days.area = reaches.area
)

select
    area,
    day_on,
    case
        when has_overtime_shift then true
        when is_candidate and produced and is_outside then true
        when has_doubtful_shift then null
        when is_candidate and coalesce(produced, true) then null
        else false
    end as in_overtime
from judged

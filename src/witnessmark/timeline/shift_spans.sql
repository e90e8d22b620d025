/*---
about = "one row per shift of an area, with its true start and end and its planned breaks"
criteria = []
sorted = ["shift_ix"]
---
Lengths are true to daylight saving: a night shift lasts 7 or 9 hours when the clocks change. Which
production day a night belongs to is data. A shift whose start or end is ambiguous has no span and
is left out; so is a break. Breaks stand in the order of their start; none gives an empty list.
*/
with breaks_of_shift as (
    select
        area,
        production_date,
        shift,
        list(
            { 'start_at': start_at, 'end_at': end_at, 'relief_rule': relief_rule }
            order by start_at, end_at, no
        ) as breaks
    from planned_breaks
    where start_at < end_at
    group by area, production_date, shift
),

numbered as (
    select
        area,
        production_date,
        shift,
        start_at,
        end_at,
        overtime,
        cast(row_number() over (order by area, start_at, production_date, shift) as integer) as shift_ix,
        date_diff('second', start_at, end_at) as length_s
    from shift_instances
    where start_at < end_at
)

select
    numbered.shift_ix,
    numbered.area,
    numbered.production_date,
    numbered.shift,
    numbered.area || '/' || numbered.production_date || '/' || numbered.shift as shift_ref,
    numbered.start_at,
    numbered.end_at,
    numbered.length_s,
    numbered.overtime,
    coalesce(breaks_of_shift.breaks, []) as breaks
from numbered
left join breaks_of_shift
    on
        numbered.area = breaks_of_shift.area
        and numbered.production_date = breaks_of_shift.production_date
        and numbered.shift = breaks_of_shift.shift

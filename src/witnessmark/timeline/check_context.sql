/*---
about = "one row per check: the shift it fell into and how its machine was attended"
criteria = []
sorted = ["check_ix"]
---
Tests on checks split by attendance and shift. The time is when the check was done, else when the
piece was taken, else when it was entered; a check without any time has neither shift nor class.
*/
with

timed as (
    select
        checks.row_ix as check_ix,
        known_machines.machine_ix,
        known_machines.area,
        coalesce(checks.done_at, checks.taken_at, checks.entered_at) as at
    from checks
    inner join known_machines using (machine_id)
),

in_shift as (
    select
        timed.check_ix,
        case when timed.at < shift_spans.end_at then shift_spans.shift_ix end as shift_ix
    from timed
    asof inner join shift_spans
        on timed.area = shift_spans.area and timed.at >= shift_spans.start_at
),

attended as (
    select
        timed.check_ix,
        case when timed.at < attendance_spans.to_at then attendance_spans.class end as attendance
    from timed
    asof inner join attendance_spans
        on timed.machine_ix = attendance_spans.machine_ix and timed.at >= attendance_spans.from_at
)

select
    timed.check_ix,
    timed.machine_ix,
    timed.at,
    in_shift.shift_ix,
    shift_spans.shift,
    shift_spans.area || '/' || shift_spans.production_date || '/' || shift_spans.shift as shift_ref,
    attended.attendance
from timed
left join in_shift using (check_ix)
left join shift_spans using (shift_ix)
left join attended using (check_ix)

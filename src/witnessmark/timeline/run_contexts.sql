/*---
about = "one row per merged run: shift and attendance when it began"
criteria = []
sorted = ["run_ix"]
---
Tests on set-ups and releases split by these. A run that began outside every known shift has none.
*/
with

placed as (
    select
        merged_runs.run_ix,
        merged_runs.machine_ix,
        merged_runs.start_at,
        known_machines.area
    from merged_runs
    inner join known_machines using (machine_ix)
),

in_shift as (
    select
        placed.run_ix,
        shift_spans.shift,
        shift_spans.shift_ref
    from placed
    asof inner join shift_spans
        on placed.area = shift_spans.area and placed.start_at >= shift_spans.start_at
    where placed.start_at < shift_spans.end_at
),

attended as (
    select
        placed.run_ix,
        attendance_spans.class as attendance
    from placed
    asof inner join attendance_spans
        on placed.machine_ix = attendance_spans.machine_ix and placed.start_at >= attendance_spans.from_at
)

select
    placed.run_ix,
    in_shift.shift,
    in_shift.shift_ref,
    attended.attendance
from placed
left join in_shift using (run_ix)
left join attended using (run_ix)

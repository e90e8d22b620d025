/*---
about = "one row per check: its times, the shift it fell into and how its machine was attended"
criteria = []
key = ["check_ix"]
sorted = ["check_ix"]
---
What tests on checks need, so that none joins it again. Shift and class are those of the time at
which the check was done, else at which the piece was taken, else at which it was entered; a check
without any time has neither. The machine is that of the check's run. `tolerance` is that of two
times of the check's own clock, in seconds.
*/
with timed as (
    select
        check_runs.check_ix,
        check_runs.machine_ix,
        known_machines.area,
        coalesce(check_runs.done_at, check_runs.taken_at, check_runs.placed_at) as at
    from check_runs
    inner join known_machines on check_runs.machine_ix = known_machines.machine_ix
    where check_runs.check_ix between $from_check_ix and $to_check_ix
),

placed as (
    select
        timed.check_ix,
        timed.machine_ix,
        case when timed.at < shift_spans.end_at then shift_spans.shift_ix end as shift_ix,
        case when timed.at < attendance_spans.to_at then attendance_spans.class end as attendance
    from timed
    asof left join shift_spans
        on timed.area = shift_spans.area and timed.at >= shift_spans.start_at
    asof left join attendance_spans
        on timed.machine_ix = attendance_spans.machine_ix and timed.at >= attendance_spans.from_at
)

select
    placed.check_ix,
    placed.machine_ix,
    checks.check_id,
    checks.done_at,
    checks.entered_at,
    placed.shift_ix,
    placed.attendance,
    coalesce(checks.done_at_quality = 'ambiguous', false) as is_done_ambiguous,
    coalesce(checks.entered_at_quality = 'ambiguous', false) as is_entered_ambiguous,
    cast(tolerance_s(checks.clock, checks.clock) as integer) as tolerance
from checks
inner join placed on checks.row_ix = placed.check_ix

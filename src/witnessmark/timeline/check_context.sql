/*---
about = "one row per check: its shift and attendance, and how long its machine ran since the check before"
criteria = []
sorted = ["check_ix"]
---
Tests on checks split by attendance and shift. The time is when the check was done, else when the
piece was taken, else when it was entered; a check without any time has neither shift nor class. The
machine is that of the check's run.

`before_at` is the last instant before `done_at` at which a check of the machine was done; `ran_s`
and `doubtful_s` are the running and the unknown seconds between the two, for a machine's first check
those since its records begin. Checks of one machine done at one instant share them. `tolerance` is
that of two times of the check's own clock, in seconds.
*/
with timed as (
    select
        check_runs.check_ix,
        check_runs.machine_ix,
        check_runs.kind,
        check_runs.done_at,
        check_runs.running_s,
        check_runs.unknown_s,
        known_machines.area,
        checks.entered_at,
        coalesce(checks.done_at_quality = 'ambiguous', false) as is_done_ambiguous,
        coalesce(checks.entered_at_quality = 'ambiguous', false) as is_entered_ambiguous,
        cast(tolerance_s(checks.clock, checks.clock) as integer) as tolerance,
        coalesce(checks.done_at, checks.taken_at, checks.entered_at) as at
    from checks
    inner join check_runs on checks.row_ix = check_runs.check_ix
    inner join known_machines on check_runs.machine_ix = known_machines.machine_ix
),

compared as (
    select
        *,
        last_value(done_at) over earlier as before_at,
        last_value(running_s) over earlier as before_running_s,
        last_value(unknown_s) over earlier as before_unknown_s
    from timed
    window
        earlier as (
            partition by machine_ix
            order by done_at
            range between unbounded preceding and interval 1 microsecond preceding
        )
)

select
    compared.check_ix,
    compared.machine_ix,
    compared.kind,
    compared.at,
    compared.done_at,
    compared.entered_at,
    compared.is_done_ambiguous,
    compared.is_entered_ambiguous,
    compared.tolerance,
    case when compared.done_at is not null then compared.before_at end as before_at,
    case
        when compared.done_at is not null then compared.running_s - coalesce(compared.before_running_s, 0)
    end
        as ran_s,
    case
        when compared.done_at is not null then compared.unknown_s - coalesce(compared.before_unknown_s, 0)
    end
        as doubtful_s,
    case when compared.at < shift_spans.end_at then shift_spans.shift_ix end as shift_ix,
    case when compared.at < shift_spans.end_at then shift_spans.shift end as shift,
    case
        when compared.at < shift_spans.end_at
            then shift_spans.area || '/' || shift_spans.production_date || '/' || shift_spans.shift
    end as shift_ref,
    case when compared.at < attendance_spans.to_at then attendance_spans.class end as attendance
from compared
asof left join shift_spans
    on compared.area = shift_spans.area and compared.at >= shift_spans.start_at
asof left join attendance_spans
    on compared.machine_ix = attendance_spans.machine_ix and compared.at >= attendance_spans.from_at

/*---
about = "one row per plan line and event that makes product suspect"
criteria = ["reaction_within_running_min"]
sorted = ["series_ix", "kind", "taken_at", "trigger_ref"]
---
What opens a suspect window on a line of a run: a check that failed, a check made with a gauge later
found out, a last-off that was asked for and did not come. `suspect_windows` says how far it reaches.
`taken_at` is when the pieces were taken, else when the check was made, or the run's end.

A failed check that measured no line stands for the run (`plan_line_ix` -1). `point_at` is the
instant after which a good check closes the window: the first recorded correction from the failure
on, in the run and within the reaction time (an offset, tool change or repair, a set-up begun, an
acknowledged stop with its reason that was not planned), else the failure itself.

A gauge found out throws doubt on every line measured with it from its last good calibration to the
end of the day of the finding, which is when it is detected. `cause_ref` is then the calibration, else
empty. `series_ix` numbers what is compared with each other: one line of one run, challenges apart,
and each such calibration apart.
*/
with failed as (
    select
        placed_checks.run_ix,
        placed_checks.plan_line_ix,
        placed_checks.line_ix,
        placed_checks.check_ix,
        placed_checks.machine_ix,
        placed_checks.done_at,
        placed_checks.running_s,
        placed_checks.kind = 'challenge' as is_challenge,
        coalesce(placed_checks.taken_at, placed_checks.done_at) as taken_at
    from placed_checks
    where not placed_checks.passed and placed_checks.done_at is not null
),

-- Failed checks that measured no line; -1 stands for the run as a whole.
bare as (
    select
        check_runs.run_ix,
        check_runs.check_ix,
        check_runs.machine_ix,
        check_runs.done_at,
        check_runs.running_s,
        check_runs.kind = 'challenge' as is_challenge,
        coalesce(check_runs.taken_at, check_runs.done_at) as taken_at
    from check_runs
    where
        check_runs.result = 'fail'
        and check_runs.run_ix is not null
        and check_runs.done_at is not null
        and check_runs.check_ix not in (
            select placed_checks.check_ix
            from placed_checks
            where not placed_checks.passed
        )
),

failures as (
    select
        run_ix,
        plan_line_ix,
        line_ix,
        check_ix,
        machine_ix,
        is_challenge,
        done_at,
        taken_at,
        running_s
    from failed
    union all
    select
        run_ix,
        -1 as plan_line_ix,
        null as line_ix,
        check_ix,
        machine_ix,
        is_challenge,
        done_at,
        taken_at,
        running_s
    from bare
),

corrections as (
    select
        machine_id,
        happened_at as corrected_at
    from process_events
    where kind in ('offset', 'tool-change', 'repair')
    union
    select
        machine_id,
        start_at as corrected_at
    from setups
    union
    select
        machine_id,
        acknowledged_at as corrected_at
    from stoppages
    where reason is not null and not coalesce(planned, false)
),

clocked_corrections as (
    select
        known_machines.machine_ix,
        corrections.corrected_at,
        clock_steps.running_s
        + clock_steps.running_rate * date_diff('second', clock_steps.from_at, corrections.corrected_at)
            as running_s
    from corrections
    inner join known_machines on corrections.machine_id = known_machines.machine_id
    asof inner join clock_steps
        on
            known_machines.machine_ix = clock_steps.machine_ix
            and corrections.corrected_at >= clock_steps.from_at
),

corrected as (
    select
        failures.*,
        merged_runs.end_at as run_end_at,
        clocked_corrections.corrected_at,
        clocked_corrections.running_s - failures.running_s <= $reaction_within_running_s as is_reaction
    from failures
    inner join merged_runs on failures.run_ix = merged_runs.run_ix
    asof left join clocked_corrections
        on
            failures.machine_ix = clocked_corrections.machine_ix
            and failures.done_at <= clocked_corrections.corrected_at
),

out_gauges as (
    select
        gauge_id,
        done_on,
        gauge_id || '/' || done_on as trigger_ref,
        lag(done_on) over (partition by gauge_id order by done_on) as last_on,
        coalesce(verdict, 'in') = 'out' as is_out,
        lag(coalesce(verdict, 'in')) over (partition by gauge_id order by done_on) as last_verdict
    from calibrations
),

doubted_gauges as (
    select
        gauge_id,
        trigger_ref,
        coalesce(utc_time(cast(last_on as timestamp)), timestamp '0001-01-01') as from_at,
        utc_time(cast(done_on + 1 as timestamp)) as detected_at
    from out_gauges
    where is_out and (last_verdict is null or last_verdict = 'in')
),

-- Step by step, as the planner guesses the few rows wrongly.
doubted_uses as materialized (
    select
        doubted_gauges.trigger_ref,
        doubted_gauges.detected_at,
        check_measurements.check_ix,
        check_measurements.line
    from check_measurements
    inner join doubted_gauges
        on
            check_measurements.gauge_id = doubted_gauges.gauge_id
            and check_measurements.done_at >= doubted_gauges.from_at
            and check_measurements.done_at < doubted_gauges.detected_at
),

doubted_lines as materialized (
    select
        doubted_uses.trigger_ref,
        doubted_uses.detected_at,
        doubted_uses.line,
        placed_checks.run_ix,
        placed_checks.plan_line_ix,
        placed_checks.line_ix,
        placed_checks.check_ix,
        placed_checks.kind = 'challenge' as is_challenge,
        coalesce(placed_checks.taken_at, placed_checks.done_at) as taken_at
    from placed_checks
    inner join doubted_uses on placed_checks.check_ix = doubted_uses.check_ix
),

doubted as (
    select distinct doubted_lines.*
    from doubted_lines
    inner join control_plan_lines
        on
            doubted_lines.line_ix = control_plan_lines.row_ix
            and doubted_lines.line = control_plan_lines.line
),

missing_offs as (
    select
        run_ends.run_ix,
        run_ends.run_id,
        run_ends.end_at,
        due_lines.plan_line_ix,
        due_lines.line_ix
    from run_ends
    inner join due_lines
        on
            run_ends.run_ix = due_lines.run_ix
            and run_ends.end_at >= due_lines.from_at
            and (run_ends.end_at < due_lines.to_at or run_ends.booked_end_at = due_lines.to_at)
    where
        run_ends.last_off_check_ix is null
        and list_contains(due_lines.check_kinds, 'last-off')
),

triggers as (
    select
        case when corrected.is_challenge then 'failed-challenge' else 'failed-check' end as kind,
        '' as cause_ref,
        checks.check_id as trigger_ref,
        checks.clock,
        corrected.run_ix,
        corrected.plan_line_ix,
        corrected.is_challenge,
        corrected.line_ix,
        corrected.check_ix,
        corrected.done_at as detected_at,
        corrected.taken_at,
        case
            when corrected.corrected_at < corrected.run_end_at and corrected.is_reaction
                then corrected.corrected_at - to_seconds(1)
            else corrected.taken_at
        end as point_at
    from corrected
    inner join checks on corrected.check_ix = checks.row_ix
    union all
    select
        'gauge-out' as kind,
        trigger_ref as cause_ref,
        trigger_ref,
        null as clock,
        run_ix,
        plan_line_ix,
        is_challenge,
        line_ix,
        check_ix,
        detected_at,
        taken_at,
        taken_at as point_at
    from doubted
    union all
    select
        'last-off' as kind,
        '' as cause_ref,
        missing_offs.run_id as trigger_ref,
        runs.clock,
        missing_offs.run_ix,
        missing_offs.plan_line_ix,
        false as is_challenge,
        missing_offs.line_ix,
        null as check_ix,
        missing_offs.end_at as detected_at,
        missing_offs.end_at as taken_at,
        null as point_at
    from missing_offs
    inner join runs on missing_offs.run_id = runs.run_id
)

select
    *,
    cast(dense_rank() over (order by cause_ref, run_ix, plan_line_ix, is_challenge) as integer) as series_ix
from triggers

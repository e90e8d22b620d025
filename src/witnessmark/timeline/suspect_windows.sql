/*---
about = "one row per trigger and stretch of a merged run in which product is suspect"
criteria = ["restart_check_running_min"]
sorted = ["window_ix"]
---
Suspect, never defective: nothing shows that this product is good. A good check is one that passed
with a gauge in date. A check proves the pieces taken then: `taken_at`, else `done_at`.

`failed-check` and `failed-challenge`, per plan line; one that measured no line stands for the run
and is compared with the run's checks as a whole. A challenge is compared with challenges only, any
other check with any but challenges. From the last good check of the line in the run; without one from the release, without that from the run's start. To the first good check after the
recorded correction (`suspect_triggers`), without one after the failure. A further failure before
the window closes makes no second window and keeps it open until its own closing.

`gauge-out`, per line measured with a gauge that was later found out, since its last good
calibration: from the last good check with another gauge to the next such check. Detected at the end
of the day of the calibration. `restart`: running past the limit without a check after a stop: from
the stop to the run's first good check. `last-off`: a line that asks for one and a run that ended
without: from the line's last good check to the run's end.

`to_at` is null where nothing closes the window; it then lasts to the run's end (`end_at`). `pieces`
are those of the running clock, null where they are not known. `clock` is that of the trigger.
*/
with series as (
    select distinct
        series_ix,
        cause_ref,
        run_ix,
        plan_line_ix,
        is_challenge
    from suspect_triggers
),

-- A check that is good as a whole: it passed, no line of it failed, every gauge was in date.
good_wholes as (
    select
        check_runs.run_ix,
        check_runs.check_ix,
        check_runs.done_at,
        check_runs.kind = 'challenge' as is_challenge,
        coalesce(check_runs.taken_at, check_runs.done_at) as taken_at
    from check_runs
    where
        check_runs.result = 'pass'
        and check_runs.done_at is not null
        and check_runs.check_ix not in (
            select placed_checks.check_ix
            from placed_checks
            where not placed_checks.passed or not placed_checks.gauge_valid
        )
),

proofs as materialized (
    select
        series.series_ix,
        placed_checks.check_ix,
        placed_checks.done_at,
        coalesce(placed_checks.taken_at, placed_checks.done_at) as taken_at
    from placed_checks
    inner join series
        on
            placed_checks.run_ix = series.run_ix
            and placed_checks.plan_line_ix = series.plan_line_ix
            and (placed_checks.kind = 'challenge') = series.is_challenge
    left join suspect_triggers as doubted
        on
            placed_checks.check_ix = doubted.check_ix
            and series.series_ix = doubted.series_ix
            and doubted.kind = 'gauge-out'
    where
        placed_checks.passed
        and placed_checks.gauge_valid
        and placed_checks.done_at is not null
        and doubted.check_ix is null
    union all
    select
        series.series_ix,
        good_wholes.check_ix,
        good_wholes.done_at,
        good_wholes.taken_at
    from good_wholes
    inner join series
        on good_wholes.run_ix = series.run_ix and good_wholes.is_challenge = series.is_challenge
    where series.plan_line_ix = -1
),

bounded as (
    select
        suspect_triggers.*,
        opening.taken_at as good_at,
        coalesce(closing.taken_at, timestamp '9999-12-31') as closing_at
    from suspect_triggers
    asof left join proofs as opening
        on
            suspect_triggers.series_ix = opening.series_ix
            and suspect_triggers.taken_at > opening.taken_at
    asof left join proofs as closing
        on
            suspect_triggers.series_ix = closing.series_ix
            and suspect_triggers.point_at < closing.taken_at
),

compared as (
    select
        *,
        coalesce(
            taken_at < max(closing_at) over (
                partition by series_ix, kind
                order by taken_at, trigger_ref
                rows between unbounded preceding and 1 preceding
            ),
            false
        ) as is_repeated
    from bounded
),

numbered as (
    select
        *,
        count(*) filter (where not is_repeated) over (
            partition by series_ix, kind order by taken_at, trigger_ref
        ) as window_no
    from compared
),

line_windows as (
    select
        kind,
        series_ix,
        run_ix,
        arg_min(trigger_ref, (taken_at, trigger_ref)) as trigger_ref,
        arg_min({ 'clock': clock }, (taken_at, trigger_ref)).clock as clock,
        arg_min({ 'ix': line_ix }, (taken_at, trigger_ref)).ix as line_ix,
        arg_min(detected_at, (taken_at, trigger_ref)) as detected_at,
        arg_min({ 'at': good_at }, (taken_at, trigger_ref)).at as good_at,
        min(taken_at) as taken_at,
        max(closing_at) as closing_at
    from numbered
    group by kind, series_ix, run_ix, window_no
),

-- Of several good checks on pieces of the same minute the one made first closes the window.
closings as (
    select
        proofs.series_ix,
        proofs.taken_at,
        min(proofs.done_at) as done_at,
        arg_min(proofs.check_ix, (proofs.done_at, proofs.check_ix)) as check_ix
    from proofs
    inner join line_windows
        on proofs.series_ix = line_windows.series_ix and proofs.taken_at = line_windows.closing_at
    group by proofs.series_ix, proofs.taken_at
),

unchecked as (
    select
        stop_ref,
        run_ix,
        stopped_at,
        restarted_at
    from restarts
    where coalesce(running_s, running_s_to_run_end) > $restart_check_running_s
),

next_proofs as (
    select
        unchecked.*,
        good_wholes.taken_at
    from unchecked
    asof left join good_wholes
        on unchecked.run_ix = good_wholes.run_ix and unchecked.restarted_at <= good_wholes.taken_at
),

proofs_since as (
    select
        good_wholes.run_ix,
        good_wholes.taken_at,
        min(good_wholes.done_at) as done_at,
        arg_min(good_wholes.check_ix, (good_wholes.done_at, good_wholes.check_ix)) as check_ix
    from good_wholes
    inner join
        (
            select distinct
                next_proofs.run_ix,
                next_proofs.taken_at
            from next_proofs
        ) as moments
        on good_wholes.run_ix = moments.run_ix and good_wholes.taken_at = moments.taken_at
    group by good_wholes.run_ix, good_wholes.taken_at
),

restart_windows as (
    select
        next_proofs.*,
        proofs_since.check_ix as closing_check_ix,
        proofs_since.done_at as to_at
    from next_proofs
    left join proofs_since
        on next_proofs.run_ix = proofs_since.run_ix and next_proofs.taken_at = proofs_since.taken_at
),

gathered as (
    select
        line_windows.kind,
        line_windows.trigger_ref,
        line_windows.clock,
        line_windows.run_ix,
        line_windows.line_ix,
        line_windows.detected_at,
        line_windows.taken_at as seen_at,
        null as stopped_at,
        line_windows.good_at,
        closings.check_ix as closing_check_ix,
        case
            when line_windows.kind = 'last-off' then line_windows.taken_at else closings.done_at
        end as to_at
    from line_windows
    left join closings
        on
            line_windows.series_ix = closings.series_ix
            and line_windows.closing_at = closings.taken_at
    union all
    select
        'restart' as kind,
        restart_windows.stop_ref as trigger_ref,
        stoppages.clock,
        restart_windows.run_ix,
        null as line_ix,
        restart_windows.restarted_at as detected_at,
        restart_windows.restarted_at as seen_at,
        restart_windows.stopped_at,
        null as good_at,
        restart_windows.closing_check_ix,
        restart_windows.to_at
    from restart_windows
    left join stoppages on restart_windows.stop_ref = stoppages.stop_id
),

based as (
    select
        gathered.*,
        merged_runs.machine_ix,
        merged_runs.machine_id,
        merged_runs.part_no,
        control_plan_lines.plan_no,
        control_plan_lines.line,
        coalesce(gathered.to_at, merged_runs.end_at) as end_at,
        case
            when gathered.stopped_at is not null then 'stop'
            when gathered.good_at is not null then 'good-check'
            when starts.released_at <= gathered.seen_at then 'release'
            else 'run-start'
        end as from_basis,
        case
            when gathered.stopped_at is not null then gathered.stopped_at
            when gathered.good_at is not null then gathered.good_at
            when starts.released_at <= gathered.seen_at and starts.released_at > merged_runs.start_at
                then starts.released_at
            else merged_runs.start_at
        end as from_at
    from gathered
    inner join merged_runs on gathered.run_ix = merged_runs.run_ix
    left join starts on gathered.run_ix = starts.run_ix
    left join control_plan_lines on gathered.line_ix = control_plan_lines.row_ix
),

clocked as (
    select
        based.*,
        date_diff('second', opening.from_at, based.from_at) as opening_s,
        date_diff('second', closing.from_at, based.end_at) as closing_s,
        closing.running_s + closing.running_rate * closing_s
        - opening.running_s - opening.running_rate * opening_s as running_s,
        closing.attended_s + closing.attended_rate * closing_s
        - opening.attended_s - opening.attended_rate * opening_s as attended_s,
        closing.covered_s + closing.covered_rate * closing_s
        - opening.covered_s - opening.covered_rate * opening_s as covered_s,
        closing.authorised_s + closing.authorised_rate * closing_s
        - opening.authorised_s - opening.authorised_rate * opening_s as authorised_s,
        closing.uncovered_s + closing.uncovered_rate * closing_s
        - opening.uncovered_s - opening.uncovered_rate * opening_s as uncovered_s,
        closing.not_assessable_s + closing.not_assessable_rate * closing_s
        - opening.not_assessable_s - opening.not_assessable_rate * opening_s as not_assessable_s,
        case
            when closing.uncounted_steps = opening.uncounted_steps
                then
                    closing.pieces + closing.step_pieces * closing_s // closing.step_s
                    - opening.pieces - opening.step_pieces * opening_s // opening.step_s
        end as pieces
    from based
    asof left join clock_steps as opening
        on based.machine_ix = opening.machine_ix and based.from_at >= opening.from_at
    asof left join clock_steps as closing
        on based.machine_ix = closing.machine_ix and based.end_at >= closing.from_at
    where based.from_at < based.end_at
)

select
    kind,
    trigger_ref,
    machine_ix,
    machine_id,
    run_ix,
    line_ix,
    part_no,
    detected_at,
    from_at,
    to_at,
    end_at,
    from_basis,
    pieces,
    closing_check_ix,
    clock,
    cast(
        row_number() over (order by kind, run_ix, from_at, trigger_ref, plan_no, line) as integer
    ) as window_ix,
    case
        when running_s = 0 then null
        when 3 * attended_s >= 2 * running_s then 'attended'
        when 3 * covered_s >= 2 * running_s then 'covered'
        when 3 * authorised_s >= 2 * running_s then 'authorised'
        when 3 * uncovered_s >= 2 * running_s then 'uncovered'
        when 3 * not_assessable_s >= 2 * running_s then 'not-assessable'
        else 'mixed'
    end as attendance
from clocked

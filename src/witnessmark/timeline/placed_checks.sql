/*---
about = "one row per check and control-plan line that it covers"
criteria = []
sorted = ["run_ix", "plan_line_ix", "done_at", "check_ix"]
---
A check covers the lines that it measured, in the version valid when it was made; only where no
measurements are given at all does it cover every such line that lists its kind. Where two plans of
the run have a line of that name, the plan that the check names decides.

`completed`: at least one piece of the line has a value or an attribute; without measurements, the
result is not incomplete. `passed`: completed, the result is no fail, no value is outside the limits
valid then and no attribute is bad. A failed check fails the lines that show a value out or a bad
attribute, and all its lines where none does. Null: not completed, or no result. `n` counts pieces
with a value or an attribute, `n_out` those out or bad. `gauge_valid`: no gauge that was used was
overdue or found out then; a gauge that nobody wrote down throws no doubt.

The values per line are added up before anything else, so that the many measurements are read once.
*/
with due as (
    select
        due_lines.run_ix,
        due_lines.line_ix,
        due_lines.plan_line_ix,
        due_lines.plan_no,
        due_lines.check_kinds,
        due_lines.lower_limit,
        due_lines.upper_limit,
        due_lines.line,
        dense_rank() over (order by due_lines.line) as line_no,
        -- A check before the run's start or after its end goes by the versions valid there.
        case
            when due_lines.from_at > merged_runs.start_at then due_lines.from_at
            else timestamp '0001-01-01'
        end as covers_from,
        case
            when due_lines.to_at < merged_runs.end_at then due_lines.to_at
            else timestamp '9999-12-31'
        end as covers_to,
        min(due_lines.plan_no) over (partition by due_lines.run_ix, due_lines.line)
        = max(due_lines.plan_no) over (partition by due_lines.run_ix, due_lines.line) as is_only_plan
    from due_lines
    inner join merged_runs on due_lines.run_ix = merged_runs.run_ix
),

wanted as (
    select distinct
        line,
        line_no
    from due
),

ids as (
    select
        check_id,
        cast(row_ix as integer) as check_ix
    from checks
),

measured as materialized (
    select
        ids.check_ix,
        wanted.line_no,
        count(*) filter (
            where measurements.value is not null or measurements.attribute is not null
        ) as n,
        count(*) filter (where measurements.attribute = 'bad') as n_bad,
        min(measurements.value) as low,
        max(measurements.value) as high
    from measurements
    inner join wanted on measurements.line = wanted.line
    inner join ids on measurements.check_id = ids.check_id
    group by ids.check_ix, wanted.line_no
),

placed as (
    select
        check_ix,
        run_ix,
        machine_ix,
        kind,
        result,
        plan_no,
        done_at,
        taken_at,
        running_s,
        unknown_s,
        pieces,
        coalesce(done_at, placed_at, timestamp '0001-01-01') as valid_at
    from check_runs
    where run_ix is not null
),

-- Joined step by step: the planner guesses the many rows wrongly and would join them to all lines.
located as materialized (
    select
        placed.*,
        measured.line_no,
        measured.n,
        measured.n_bad,
        measured.low,
        measured.high
    from measured
    inner join placed on measured.check_ix = placed.check_ix
),

covered as (
    select
        located.check_ix,
        located.run_ix,
        located.machine_ix,
        located.kind,
        located.result,
        located.done_at,
        located.taken_at,
        located.running_s,
        located.unknown_s,
        located.pieces,
        due.line_ix,
        due.plan_line_ix,
        located.line_no,
        located.n,
        due.lower_limit,
        due.upper_limit,
        located.n > 0 as completed,
        located.n_bad > 0
        or coalesce(located.low < due.lower_limit, false)
        or coalesce(located.high > due.upper_limit, false) as is_out
    from located
    inner join due
        on
            located.run_ix = due.run_ix
            and located.line_no = due.line_no
            and located.valid_at >= due.covers_from
            and located.valid_at < due.covers_to
            and (due.is_only_plan or located.plan_no = due.plan_no or located.plan_no is null)
    union all
    select
        placed.check_ix,
        placed.run_ix,
        placed.machine_ix,
        placed.kind,
        placed.result,
        placed.done_at,
        placed.taken_at,
        placed.running_s,
        placed.unknown_s,
        placed.pieces,
        due.line_ix,
        due.plan_line_ix,
        due.line_no,
        0 as n,
        due.lower_limit,
        due.upper_limit,
        placed.result is null or placed.result != 'incomplete' as completed,
        false as is_out
    from placed
    inner join due
        on
            placed.run_ix = due.run_ix
            and placed.valid_at >= due.covers_from
            and placed.valid_at < due.covers_to
            and (due.is_only_plan or placed.plan_no = due.plan_no or placed.plan_no is null)
            and (due.check_kinds is null or list_contains(due.check_kinds, placed.kind))
    where not exists (select 1 from measurements)
),

-- Which pieces were out is asked again of the few lines that show one.
out_pieces as (
    select
        covered.check_ix,
        covered.line_ix,
        count(*) as n_out
    from covered
    inner join ids on covered.check_ix = ids.check_ix
    inner join measurements on ids.check_id = measurements.check_id
    inner join wanted on measurements.line = wanted.line and covered.line_no = wanted.line_no
    where
        covered.is_out
        and (
            coalesce(measurements.attribute = 'bad', false)
            or coalesce(measurements.value < covered.lower_limit, false)
            or coalesce(measurements.value > covered.upper_limit, false)
        )
    group by covered.check_ix, covered.line_ix
),

seen_out as (
    select distinct check_ix
    from out_pieces
),

checked_span as (
    select
        min(done_at) as from_at,
        max(done_at) as to_at
    from placed
),

doubtful_gauges as (
    select
        gauge_gaps.gauge_id,
        gauge_gaps.from_at,
        gauge_gaps.to_at
    from gauge_gaps
    inner join checked_span
        on gauge_gaps.from_at <= checked_span.to_at and gauge_gaps.to_at > checked_span.from_at
    where gauge_gaps.reason in ('overdue', 'found-out')
),

doubtful_uses as materialized (
    select
        measurements.check_id,
        measurements.line,
        doubtful_gauges.from_at,
        doubtful_gauges.to_at
    from measurements
    inner join doubtful_gauges on measurements.gauge_id = doubtful_gauges.gauge_id
),

doubtful as (
    select distinct
        placed.check_ix,
        wanted.line_no
    from doubtful_uses
    inner join wanted on doubtful_uses.line = wanted.line
    inner join ids on doubtful_uses.check_id = ids.check_id
    inner join placed
        on
            ids.check_ix = placed.check_ix
            and doubtful_uses.from_at <= placed.done_at
            and doubtful_uses.to_at > placed.done_at
)

select
    covered.run_ix,
    covered.line_ix,
    covered.plan_line_ix,
    covered.check_ix,
    covered.machine_ix,
    covered.kind,
    covered.done_at,
    covered.taken_at,
    covered.running_s,
    covered.unknown_s,
    covered.pieces,
    covered.n,
    covered.completed,
    coalesce(out_pieces.n_out, 0) as n_out,
    case
        when covered.is_out then false
        when not covered.completed or covered.result is null then null
        when covered.result = 'fail' then seen_out.check_ix is not null
        else true
    end as passed,
    doubtful.check_ix is null as gauge_valid
from covered
left join out_pieces
    on covered.check_ix = out_pieces.check_ix and covered.line_ix = out_pieces.line_ix
left join seen_out on covered.check_ix = seen_out.check_ix
left join doubtful
    on covered.check_ix = doubtful.check_ix and covered.line_no = doubtful.line_no

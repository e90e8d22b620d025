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
overdue or found out then; a gauge that nobody wrote down throws no doubt. `other_limits` and
`other_gauge`: a piece was measured against other limits, or with another type of gauge, than the
line names.

The values per line are added up before anything else, so that the many measurements are read once.
*/
with types as (
    select
        type,
        row_number() over (order by type) as type_no
    from (
        select type from gauges
        union
        select gauge_type as type from control_plan_lines
    ) as named
    where type is not null
),

gauge_types as (
    select
        gauges.gauge_id,
        types.type_no
    from gauges
    inner join types on gauges.type = types.type
),

due as (
    select
        due_lines.run_ix,
        due_lines.line_ix,
        due_lines.plan_line_ix,
        due_lines.plan_no,
        due_lines.check_kinds,
        due_lines.lower_limit,
        due_lines.upper_limit,
        due_lines.line,
        types.type_no,
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
    inner join control_plan_lines on due_lines.line_ix = control_plan_lines.row_ix
    left join types on control_plan_lines.gauge_type = types.type
),

wanted as (
    select distinct
        line,
        line_no
    from due
),

placed as materialized (
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
    where run_ix between $from_run_ix and $to_run_ix
),

-- A gauge is in one of its gaps at a time, so that no measurement comes twice.
doubtful_gauges as (
    select
        gauge_id,
        from_at,
        to_at
    from gauge_gaps
    where reason in ('overdue', 'found-out')
),

measured as materialized (
    select
        check_measurements.check_ix,
        wanted.line_no,
        count(*) filter (
            where check_measurements.value is not null or check_measurements.attribute is not null
        ) as n,
        bool_or(check_measurements.attribute = 'bad') as has_bad,
        min(check_measurements.value) as low,
        max(check_measurements.value) as high,
        min(check_measurements.lower_used) as least_lower,
        max(check_measurements.lower_used) as most_lower,
        min(check_measurements.upper_used) as least_upper,
        max(check_measurements.upper_used) as most_upper,
        min(gauge_types.type_no) as first_type,
        max(gauge_types.type_no) as last_type,
        bool_or(doubtful_gauges.gauge_id is not null) as is_doubtful
    from check_measurements
    inner join wanted on check_measurements.line = wanted.line
    left join gauge_types on check_measurements.gauge_id = gauge_types.gauge_id
    left join doubtful_gauges
        on
            check_measurements.gauge_id = doubtful_gauges.gauge_id
            and check_measurements.done_at >= doubtful_gauges.from_at
            and check_measurements.done_at < doubtful_gauges.to_at
    where check_measurements.check_ix in (select placed.check_ix from placed)
    group by check_measurements.check_ix, wanted.line_no
),

-- Joined step by step: the planner guesses the many rows wrongly and would join them to all lines.
located as materialized (
    select
        placed.*,
        measured.line_no,
        measured.n,
        measured.has_bad,
        measured.low,
        measured.high,
        measured.least_lower,
        measured.most_lower,
        measured.least_upper,
        measured.most_upper,
        measured.first_type,
        measured.last_type,
        measured.is_doubtful
    from measured
    inner join placed on measured.check_ix = placed.check_ix
),

covered as materialized (
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
        due.line,
        located.n,
        due.lower_limit,
        due.upper_limit,
        located.n > 0 as completed,
        coalesce(located.has_bad, false)
        or coalesce(located.low < due.lower_limit, false)
        or coalesce(located.high > due.upper_limit, false) as is_out,
        located.is_doubtful,
        coalesce(located.least_lower != due.lower_limit, false)
        or coalesce(located.most_lower != due.lower_limit, false)
        or coalesce(located.least_upper != due.upper_limit, false)
        or coalesce(located.most_upper != due.upper_limit, false) as other_limits,
        coalesce(located.first_type != due.type_no, false)
        or coalesce(located.last_type != due.type_no, false) as other_gauge
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
        due.line,
        0 as n,
        due.lower_limit,
        due.upper_limit,
        placed.result is null or placed.result != 'incomplete' as completed,
        false as is_out,
        false as is_doubtful,
        false as other_limits,
        false as other_gauge
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
lines_out as materialized (
    select
        check_ix,
        line_ix,
        line,
        lower_limit,
        upper_limit
    from covered
    where is_out
),

out_pieces as (
    select
        lines_out.check_ix,
        lines_out.line_ix,
        count(*) as n_out
    from check_measurements
    inner join lines_out
        on
            check_measurements.check_ix = lines_out.check_ix
            and check_measurements.line = lines_out.line
    where
        coalesce(check_measurements.attribute = 'bad', false)
        or coalesce(check_measurements.value < lines_out.lower_limit, false)
        or coalesce(check_measurements.value > lines_out.upper_limit, false)
    group by lines_out.check_ix, lines_out.line_ix
),

seen_out as (
    select distinct check_ix
    from lines_out
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
    not covered.is_doubtful as gauge_valid,
    covered.other_limits,
    covered.other_gauge
from covered
left join out_pieces
    on covered.check_ix = out_pieces.check_ix and covered.line_ix = out_pieces.line_ix
left join seen_out on covered.check_ix = seen_out.check_ix

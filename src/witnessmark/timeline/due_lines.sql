/*---
about = "one row per merged run and control-plan line valid in it, split where its version changes"
criteria = ["patrol_grace_share", "patrol_grace_least_min", "patrol_grace_most_min"]
sorted = ["run_ix", "plan_line_ix", "from_at"]
---
A line binds the runs of its part, and of its operation where both name one. The version is that of
the time: of all versions of one line of one plan the latest that is valid serves. A run in which a
newer version begins, or validity ends, has a row for each part of it. Days are the plant's.

`line_ix` is the row of that version in `control_plan_lines`; `plan_line_ix` is the same for all
versions of a line and follows it through a run. Grace is a share of the interval between a least
and a most.
*/
with versions as (
    select
        cast(row_ix as integer) as line_ix,
        plan_no,
        line,
        coalesce(utc_time(cast(valid_from as timestamp)), timestamp '0001-01-01') as valid_at,
        coalesce(utc_time(cast(valid_to + 1 as timestamp)), timestamp '9999-12-31') as ends_at
    from control_plan_lines
),

edges as (
    select
        plan_no,
        line,
        valid_at as edge_at
    from versions
    union
    select
        plan_no,
        line,
        ends_at as edge_at
    from versions
),

stretches as (
    select
        plan_no,
        line,
        edge_at as from_at,
        lead(edge_at) over (partition by plan_no, line order by edge_at) as to_at
    from edges
),

in_force as (
    select
        stretches.plan_no,
        stretches.line,
        stretches.from_at,
        stretches.to_at,
        arg_max(versions.line_ix, (versions.valid_at, versions.line_ix)) as line_ix
    from stretches
    inner join versions
        on
            stretches.plan_no is not distinct from versions.plan_no
            and stretches.line = versions.line
            and stretches.from_at >= versions.valid_at
            and stretches.to_at <= versions.ends_at
    group by stretches.plan_no, stretches.line, stretches.from_at, stretches.to_at
),

-- Where an older version lapses under a newer one that goes on, nothing changes.
compared as (
    select
        *,
        coalesce(
            lag(to_at) over by_time = from_at and lag(line_ix) over by_time = line_ix, false
        ) as goes_on
    from in_force
    window by_time as (partition by plan_no, line order by from_at)
),

numbered as (
    select
        *,
        count(*) filter (where not goes_on) over (
            partition by plan_no, line order by from_at
        ) as stretch_no
    from compared
),

spans as (
    select
        plan_no,
        line,
        stretch_no,
        line_ix,
        min(from_at) as from_at,
        max(to_at) as to_at
    from numbered
    group by plan_no, line, stretch_no, line_ix
),

limits as (
    select
        cast(row_ix as integer) as line_ix,
        plan_no,
        line,
        part_no,
        op,
        basis,
        every_n,
        event,
        sample_n,
        check_kinds,
        lower_limit,
        upper_limit,
        cast(round(interval_min * 60) as bigint) as interval_s,
        cast(round(interval_min * 60 * $patrol_grace_share) as bigint) as share_s
    from control_plan_lines
),

graced as (
    select
        *,
        case
            when share_s is null then null
            when share_s > $patrol_grace_most_s then $patrol_grace_most_s
            when share_s < $patrol_grace_least_s then $patrol_grace_least_s
            else share_s
        end as grace_s
    from limits
),

plan_lines as (
    select
        graced.*,
        spans.from_at,
        spans.to_at,
        min(spans.line_ix) over (partition by spans.plan_no, spans.line) as plan_line_ix
    from spans
    inner join graced on spans.line_ix = graced.line_ix
)

select
    merged_runs.run_ix,
    plan_lines.line_ix,
    plan_lines.plan_line_ix,
    plan_lines.plan_no,
    plan_lines.line,
    plan_lines.basis,
    plan_lines.interval_s,
    plan_lines.grace_s,
    plan_lines.every_n,
    plan_lines.event,
    plan_lines.sample_n,
    plan_lines.check_kinds,
    plan_lines.lower_limit,
    plan_lines.upper_limit,
    case
        when merged_runs.start_at < plan_lines.from_at then plan_lines.from_at
        else merged_runs.start_at
    end as from_at,
    case
        when merged_runs.end_at > plan_lines.to_at then plan_lines.to_at
        else merged_runs.end_at
    end as to_at
from merged_runs
inner join plan_lines
    on
        merged_runs.part_no = plan_lines.part_no
        and merged_runs.start_at < plan_lines.to_at
        and (merged_runs.end_at > plan_lines.from_at or merged_runs.start_at >= plan_lines.from_at)
where merged_runs.op = plan_lines.op or merged_runs.op is null or plan_lines.op is null

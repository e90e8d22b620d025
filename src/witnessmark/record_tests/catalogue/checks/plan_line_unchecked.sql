/*---
finding = "A line of the control plan was not checked in a run, or not as the plan says."
says = "Run {run_id} on {machine_id}, plan {plan_no}, line {line}: {grounds}."
needs = ["runs", "checks", "control_plan_lines"]
criteria = []
clauses = ["A 8.5.1.1", "Q 7.5.3"]
pattern = "systemic"
strata = ["attendance", "shift", "machine_id"]
key = ["run_id", "plan_no", "line", "rev"]
since = "0.1"

[uses]
measurements = "Limits, number of pieces and gauges are not compared: no measurements were given."
gauges = "Types of gauges are not compared: no gauges were given."
---
## What it tests
Whether each line of the control plan valid for a run was checked at all in it, against the plan's
own limits, on enough pieces, and with the type of gauge that the plan names.

## Why it matters
Automatic gauging may be missing from the extract: look at completeness first. Otherwise plan and
check sheet have drifted apart, and what is checked is not what was planned.

## Population
Every merged run times every plan line valid in it. Its ref is run, plan, line and revision. A line
of which no check fell due in the run is not applicable.

## Not assessable
- Whether a check fell due is open: no record says how long the machine ran.

## Traps
- The number of pieces counts per check, not per run.
- Limits left blank on the sheet: that ground is left out.
- Family plans and other spellings of a line's number look like missing checks.

## Ask next
May we lay the control plan and the check sheet side by side at the machine? Who changes the sheet
when the plan changes?

## Source
Control plan followed: IATF 16949:2016 8.5.1.1; ISO 9001:2015 7.5.3 (memory).
*/
with

lines as (
    select
        due_lines.*,
        merged_runs.run_id,
        merged_runs.machine_id,
        merged_runs.machine_ix,
        merged_runs.is_open,
        control_plan_lines.rev,
        control_plan_lines.gauge_type
    from due_lines
    inner join merged_runs using (run_ix)
    inner join control_plan_lines on due_lines.line_ix = control_plan_lines.row_ix
),

-- Lines that are checked in one round share their gaps: those are added up first.
round_time as (
    select
        run_ix,
        line_ixs,
        sum(running_s) as running_s,
        sum(unknown_s) as unknown_s,
        sum(wall_s) as wall_s
    from check_gaps
    group by run_ix, line_ixs
),

run_time as (
    select
        run_ix,
        line_ix,
        sum(running_s) as running_s,
        sum(unknown_s) as unknown_s,
        sum(wall_s) as wall_s
    from (
        select
            run_ix,
            running_s,
            unknown_s,
            wall_s,
            unnest(list_distinct(line_ixs)) as line_ix
        from round_time
    ) as stretches
    group by run_ix, line_ix
),

windows as (
    select distinct
        run_ix,
        line_ix
    from due_windows
    where not is_open and doubt is null
),

due as (
    select
        lines.run_ix,
        lines.line_ix,
        coalesce(list_contains(lines.check_kinds, 'first-off') and starts.setup_id is not null, false)
        or coalesce(list_contains(lines.check_kinds, 'last-off') and not lines.is_open, false)
        or windows.run_ix is not null
        or coalesce(case lines.basis
            when 'running-time' then run_time.running_s
            when 'clock-time' then run_time.wall_s
        end >= lines.interval_s, false) as is_due,
        coalesce(
            lines.basis = 'running-time'
            and run_time.running_s + run_time.unknown_s >= lines.interval_s, false
        ) as may_be_due
    from lines
    left join starts using (run_ix)
    left join windows using (run_ix, line_ix)
    left join run_time using (run_ix, line_ix)
),

made as (
    select
        placed_checks.run_ix,
        placed_checks.line_ix,
        count(*) filter (where placed_checks.completed) as n_checks,
        count(*) filter (
            where placed_checks.completed
            and placed_checks.n < control_plan_lines.sample_n and exists (select 1 from measurements)
        ) as n_short,
        count(*) filter (where placed_checks.other_limits) as n_other_limits,
        count(*) filter (where placed_checks.other_gauge) as n_other_gauge
    from placed_checks
    inner join control_plan_lines on placed_checks.line_ix = control_plan_lines.row_ix
    group by placed_checks.run_ix, placed_checks.line_ix
),

judged as (
    select
        lines.*,
        due.is_due or coalesce(made.n_checks > 0, false) as is_due,
        due.may_be_due,
        concat_ws(
            '; ',
            case when coalesce(made.n_checks, 0) = 0 then 'no check on record' end,
            case when made.n_short > 0 then made.n_short || ' checks on too few pieces' end,
            case
                when made.n_other_limits > 0
                    then made.n_other_limits || ' checks to other limits'
            end,
            case
                when made.n_other_gauge > 0
                    then made.n_other_gauge || ' checks with another type of gauge'
            end
        ) as grounds
    from lines
    inner join due using (run_ix, line_ix)
    left join made using (run_ix, line_ix)
)

select
    judged.run_id,
    judged.machine_id,
    judged.plan_no,
    judged.line,
    judged.rev,
    judged.grounds,
    run_contexts.attendance,
    run_contexts.shift,
    run_contexts.shift_ref,
    case when not judged.is_due and not judged.may_be_due then 'no check fell due' end as not_applicable,
    case when not judged.is_due and judged.may_be_due then 'state unknown' end as not_assessable,
    case when judged.is_due then judged.grounds <> '' end as exception
from judged
left join run_contexts using (run_ix)

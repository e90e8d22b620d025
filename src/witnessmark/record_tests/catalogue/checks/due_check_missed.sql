/*---
finding = "A check that was due by quantity, by an event or in a shift is not on record."
says = "Run {run_id} on {machine_id}, line {line}: no check for {due} between {opens_at} and {closes_at}."
needs = ["runs", "checks", "control_plan_lines.basis"]
criteria = []
clauses = ["A 8.5.1.1"]
pattern = "depends"
strata = ["attendance", "shift", "basis"]
key = ["run_id", "line", "due"]
since = "0.1"

[uses]
process_events = "Checks due by an event are not looked at: no process events were given."
material_uses = "Changes of material are taken from process events alone: no uses of material were given."
shift_instances = "Checks due in each shift are not looked at: no shifts were given."
---
## What it tests
Whether each check that the control plan asks for by a number of pieces, by an event such as a
tool change, or once in a shift was made before the next one fell due.

## Why it matters
A counter may have been reset, or a label printed early. Where the check is really missing, the
event came when nobody was there to answer it.

## Population
Every due check of a merged run and plan line: each full number of pieces k times n, each event of
the line's kind, each shift with at least an hour of running. Its ref is the run, the line and what
made it due. A last window that the run's end leaves open is not applicable: it was not yet due.

## Not assessable
- Pieces of the run are not counted, or no record says whether the machine ran.
- A completed check of the line has no time.

## Traps
- Due at k times n counts from the run's start, with no grace, and is satisfied before (k+1) times n.
- The last window of an event ends with the run.
- Starts of a material lot count only on machines without recorded material changes.
- A check made a moment before its event is shown as fragile.

## Ask next
Where is the first piece after the last change of material or tool kept? How does the person on
any shift learn that the count is full?

## Source
Frequency of the control plan: IATF 16949:2016 8.5.1.1 (memory). How windows are counted: common
practice, no source.
*/
with

marks as (
    select
        due_windows.run_ix,
        due_windows.line_ix,
        due_windows.due,
        count(*) filter (where placed_checks.done_at is null) > 0 as time_missing,
        count(*) filter (
            where placed_checks.pieces >= due_windows.from_pieces
            and placed_checks.pieces < due_windows.to_pieces
            or placed_checks.done_at >= due_windows.from_at
            and (placed_checks.done_at < due_windows.to_at or due_windows.ends_with_run)
        ) > 0 as is_made,
        count(*) filter (
            where placed_checks.done_at < due_windows.from_at
            and date_diff('second', placed_checks.done_at, due_windows.from_at)
            <= 2 * tolerance_s(checks.clock, checks.clock)
        ) > 0 as is_near
    from due_windows
    inner join placed_checks using (run_ix, plan_line_ix)
    inner join checks on placed_checks.check_ix = checks.row_ix
    where placed_checks.completed
    group by all
),

units as (
    select
        due_windows.*,
        coalesce(marks.is_made, false) as is_made,
        coalesce(marks.is_near, false) as is_near,
        coalesce(due_windows.doubt, case when marks.time_missing then 'time missing' end) as why_unsure
    from due_windows
    left join marks using (run_ix, line_ix, due)
),

attended as (
    select
        units.run_ix,
        units.line_ix,
        units.due,
        attendance_spans.class
    from units
    asof inner join attendance_spans
        on units.machine_ix = attendance_spans.machine_ix and units.opens_at >= attendance_spans.from_at
),

in_shift as (
    select
        units.run_ix,
        units.line_ix,
        units.due,
        shift_spans.shift,
        shift_spans.shift_ref
    from units
    inner join known_machines using (machine_ix)
    asof inner join shift_spans
        on known_machines.area = shift_spans.area and units.opens_at >= shift_spans.start_at
    where units.opens_at < shift_spans.end_at
)

select
    merged_runs.run_id,
    merged_runs.machine_id,
    control_plan_lines.line,
    units.due,
    units.basis,
    units.opens_at,
    units.closes_at,
    attended.class as attendance,
    in_shift.shift,
    in_shift.shift_ref,
    units.is_near as fragile,
    case when units.is_open and not units.is_made then 'not due' end as not_applicable,
    case when not units.is_made then units.why_unsure end as not_assessable,
    case when units.is_made then false when units.why_unsure is null then true end as exception
from units
inner join merged_runs using (run_ix)
inner join control_plan_lines on units.line_ix = control_plan_lines.row_ix
left join attended using (run_ix, line_ix, due)
left join in_shift using (run_ix, line_ix, due)

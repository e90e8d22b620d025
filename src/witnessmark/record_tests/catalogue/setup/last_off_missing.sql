/*---
finding = "A run ended and no last-off that the control plan asks for is on record."
says = "Run {ref} on {machine_id} ended at {end_at} ({end_kind}); no last-off is on record."
needs = ["runs.end_at", "checks", "control_plan_lines.check_kinds"]
criteria = ["hold_within_min"]
clauses = ["A 8.5.1.3", "A 8.5.1.1"]
pattern = "depends"
strata = ["attendance", "shift", "machine_id"]
key = ["run_id"]
since = "0.1"

[uses]
shift_instances = "Whether a last-off could still come is not known at the end of the data: no shifts were given."
holds = "A hold after a broken tool is not recognised in place of a last-off: no holds were given."
lots = "Holds of a lot or container count for no machine: no lots were given."
---
## What it tests
Whether every run's end has a last-off where the control plan lists one.

## Why it matters
A patrol check may have been made in its place, or the next order of the same part continued the
run. Where it is missing, the time since the last good check stays open to the run's end.

## Population
Every merged run that has ended. Its ref is the run. A run none of whose plan lines lists last-off
is not applicable.

## Not assessable
- The data end before the shift in which the run ended is over: it could still come.

## Traps
- The next order of the same part and tool is no end.
- After a broken tool a hold inside the limit takes the last-off's place.
- A late last-off is not missing: it belongs to last-off-late.

## Ask next
The machine stopped by itself: which piece is the last one, and how do you know?

## Source
Last-off controls, as applicable: IATF 16949:2016 8.5.1.1, 8.5.1.3 d (memory).
*/
with

held as (
    select distinct run_ends.run_ix
    from run_ends
    left join lots
        on run_ends.machine_id = lots.machine_id and run_ends.part_no = lots.part_no
    inner join holds
        on
            holds.machine_id = run_ends.machine_id
            or holds.lot_no = lots.lot_no
            or holds.container = lots.container
    where
        run_ends.end_kind = 'tool'
        and date_diff('second', run_ends.end_at, holds.placed_at) between 0 and $hold_within_s
)

select
    run_ends.run_id,
    run_ends.machine_id,
    run_ends.end_at,
    run_ends.end_kind,
    run_ends.attendance,
    shift_spans.shift,
    shift_spans.shift_ref,
    case when not run_ends.lines_ask_last_off then 'no plan line lists last-off' end as not_applicable,
    case
        when run_ends.last_off_check_ix is not null or held.run_ix is not null then null
        when run_ends.shift_end_at > period.ends_at then 'window still open'
    end as not_assessable,
    case
        when run_ends.last_off_check_ix is not null or held.run_ix is not null then false
        when coalesce(run_ends.shift_end_at <= period.ends_at, true) then true
    end as exception
from run_ends
cross join period
left join held using (run_ix)
left join shift_spans using (shift_ix)

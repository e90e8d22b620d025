/*---
finding = "A last-off came after it could protect the product of its run."
says = "Run {ref} on {machine_id} ended at {end_at}; its last-off at {last_off_at} came {grounds}."
needs = ["runs.end_at", "checks.done_at", "control_plan_lines.check_kinds"]
criteria = []
clauses = ["A 8.5.1.3", "A 8.6.1", "A 8.5.2.1"]
pattern = "systemic"
strata = ["attendance", "shift", "machine_id"]
key = ["run_id"]
since = "0.1"

[uses]
setups = "Whether the next set-up had begun is not looked at: no set-ups were given."
lots = "Whether the pieces had been moved is not looked at: no lots were given."
shift_instances = "Whether it came within the shift is not looked at: no shifts were given."
lot_links = "Lots that went into another lot are not looked at: no lot links were given."
shipment_lines = "Shipments are not looked at: none were given."
---
## What it tests
Whether the last-off of a run was made within the shift in which the run ended, before the next
set-up began and before the pieces left the machine.

## Why it matters
The pieces may have waited in a marked place until they were looked at. If not, the control plan
assumes somebody at the run's end who was not there, and the check comes too late to mean anything.

## Population
Every merged run that has ended and has a last-off. Its ref is the run. A run without one, or whose
plan asks for none, is not applicable here.

## Not assessable
- The shift in which the run ended is not known, and no other ground decides.

## Traps
- An unattended run that stopped itself ends at that minute, not when somebody came.
- A move may be booked when the pallet label is printed: two systems' clocks differ.
- The piece must come from the machine, not from the bin.

## Ask next
What is done with a bin between the machine's stop and its last-off? May we see one now?

## Source
Last-off and traceability: IATF 16949:2016 8.5.1.3, 8.6.1, 8.5.2.1 (memory). Within the shift and
before the next set-up: common practice, no source.
*/
with

late as (
    select
        run_ends.*,
        tolerance_s(checks.clock, checks.clock) as tolerance,
        date_diff('second', run_ends.next_setup_at, run_ends.last_off_at) as after_setup_s,
        date_diff('second', run_ends.lots_moved_at, run_ends.last_off_at) as after_move_s,
        date_diff('second', run_ends.shift_end_at, run_ends.last_off_at) as after_shift_s
    from run_ends
    left join checks on run_ends.last_off_check_ix = checks.row_ix
),

measured as (
    select
        *,
        list_max([after_setup_s, after_move_s, after_shift_s]) as measured,
        concat_ws(
            ', ',
            case when after_setup_s > tolerance then 'after the next set-up began' end,
            case when after_move_s > tolerance then 'after its lot was moved' end,
            case when after_shift_s > tolerance then 'after the end of the shift' end
        ) as grounds
    from late
)

select
    measured.run_id,
    measured.machine_id,
    measured.end_at,
    measured.last_off_at,
    measured.grounds,
    measured.measured,
    measured.tolerance as allowed,
    measured.tolerance,
    measured.attendance,
    shift_spans.shift,
    shift_spans.shift_ref,
    case
        when not measured.lines_ask_last_off then 'no plan line lists last-off'
        when measured.last_off_check_ix is null then 'no last-off on record'
    end as not_applicable,
    case when measured.shift_end_at is null then 'shift not known' end as not_assessable,
    case
        when measured.measured > measured.tolerance then true
        when measured.shift_end_at is not null then false
    end as exception
from measured
left join shift_spans using (shift_ix)

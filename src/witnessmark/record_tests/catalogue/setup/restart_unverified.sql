/*---
finding = "A machine went on after a stop that asks for a check, and no check came in time."
says = "Stop {ref} on {machine_id} ({reason}, {stop_s}): restarted {restarted_at}, ran {measured_s} without a check; allowed {allowed_s}."
needs = ["runs", "checks.done_at", "stoppages|machine_states"]
criteria = ["restart_check_running_min", "restart_threshold_min", "jam_group_count", "jam_group_window_min"]
clauses = ["A 8.5.1.4"]
pattern = "depends"
strata = ["attendance", "shift", "reason"]
key = ["stop_ref"]
since = "0.1"

[uses]
stoppages = "Stops are the times in which the machine stood by its states: no stoppages were given."
machine_states = "Running time is taken from runs less stoppages: no machine states were given."
---
## What it tests
Whether a check followed each restart after a long stop, or after one whose reason can affect the
product, within the plant's time of running.

## Why it matters
The stop's reason may be a default of the terminal, or the stop a break under another name. Where a
restart was taken as mere continuation, nothing shows that the process came back as it was.

## Population
Every restart inside a merged run after a stop of at least the threshold, or for a crash, power, a
tool, an adjustment or the weekend; jams count as a group. Its ref is the stop.
A restart whose run ended before the limit of running is not applicable.

## Not assessable
- No record says whether the machine ran, for a time that would decide.
- The data end before the time is over.

## Traps
- A stop equal to a planned break does not count.
- A start with a new part or tool is proved by its set-up.
- Any complete check counts, of whatever kind.

## Ask next
After this stop, which piece was looked at first, and where is that written? How does it go when
the neighbour restarts the machine?

## Source
Verification after a stop of production: IATF 16949:2016 8.5.1.4 (memory). Fifteen running minutes
and a threshold of thirty minutes: common practice, no source.
*/
with

waited as (
    select
        *,
        coalesce(running_s, running_s_to_run_end) as measured_s,
        coalesce(unknown_s, unknown_s_to_run_end) as doubtful_s,
        $restart_check_running_s as allowed_s
    from restarts
)

select
    waited.stop_ref,
    waited.machine_id,
    waited.reason,
    waited.stop_s,
    waited.restarted_at,
    waited.measured_s,
    waited.allowed_s,
    waited.measured_s as measured,
    waited.allowed_s as allowed,
    120 as tolerance,
    waited.attendance,
    shift_spans.shift,
    shift_spans.shift_ref,
    case
        when
            waited.check_ix is null and waited.measured_s + waited.doubtful_s <= waited.allowed_s
            and not merged_runs.is_open
            then 'run ended before it was due'
    end as not_applicable,
    case
        when waited.measured_s > waited.allowed_s then null
        when waited.measured_s + waited.doubtful_s > waited.allowed_s then 'state unknown'
        when waited.check_ix is null then 'window still open'
    end as not_assessable,
    case
        when waited.measured_s > waited.allowed_s then true
        when waited.measured_s + waited.doubtful_s <= waited.allowed_s and waited.check_ix is not null
            then false
    end as exception
from waited
inner join merged_runs using (run_ix)
left join shift_spans using (shift_ix)

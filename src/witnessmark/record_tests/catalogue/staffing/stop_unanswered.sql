/*---
finding = "A machine stopped with nobody at it, and the records show no answer in time, or none on its pieces."
says = "Machine {machine_id} stopped at {start_at} (reason: {reason}): {missing}."
needs = ["stoppages.acknowledged_at|machine_states"]
criteria = ["stop_answer_min", "hold_within_min"]
clauses = ["A 5.3.2", "A 8.5.1.4", "Q 8.5.1"]
pattern = "depends"
strata = ["attendance", "shift", "machine_id"]
key = ["stop_id"]
since = "0.1"

[uses]
allocations = "Whether a machine was attended when it stopped is not known: no allocations were given."
machine_states = "Only acknowledgements, people and bookings answer a stop: no machine states were given."
setups = "A set-up that began answers no stop here: no set-ups were given."
process_events = "Work on the machine answers no stop here: no process events were given."
checks = "Checks neither answer a stop nor decide on its pieces here: no checks were given."
holds = "Holds decide on no pieces here: no list of product on hold was given."
concerns = "Concerns decide on no pieces here: none were given."
planned_breaks = "Stops equal to a planned break are asked for too: no planned breaks were given."
lots = "Holds of lots are not traced to their machine: no lots were given."
---
## What it tests
Whether a stop of a machine that nobody attended was answered in time, and whether, where its reason
can affect product, something was decided about the pieces made before it.

## Why it matters
A machine that stands is safe, and a late answer costs output only. But who sends it off again
without a look at the last pieces lets them go with the rest.

## Population
Every stop of a machine that was not attended when it began. Its ref is the stop. Stops of attended
machines, planned stops and stops equal to a planned break are not applicable.

## Not assessable
- The start is missing, or occurred twice that night.
- How the machine was attended is not known, and no answer in time is on record either.
- The time for an answer, or for a decision, reaches past the end of the data.

## Traps
- An answer is an acknowledgement, a set-up or maintenance that began, work or a check on record at
  the machine, or an operator who came. That the machine ran again is none.
- An alarm that the control resets by itself needs nobody: map the reasons on the control's own list
  to `auto-reset`; running again then is the answer.
- A stop that waits for the next shift by rule is a planned one: mark it so.
- A decision is a hold, a complete check or a concern on that machine. It is asked for only after
  crash, tool, jam, power and adjustment, and only where one of the three tables has rows.
- Logger and terminal have clocks of their own: answers near the limit are shown as fragile.

## Ask next
Who came, how did they know, and what was decided about the pieces made before the stop? How would
the same stop have been answered on another shift?

## Source
Responsibility on all shifts, verification after shutdown: IATF 16949:2016 5.3.2, 8.5.1.4; ISO
9001:2015 8.5.1 (memory). Limits and reasons: common practice, no source.
*/
with

placed as (
    select
        stoppages.stop_id,
        stoppages.start_at,
        stoppages.start_at_quality,
        stoppages.end_at,
        stoppages.reason,
        stoppages.planned,
        stoppages.acknowledged_at,
        stop_answers.*
    from stop_answers
    inner join stoppages on stop_answers.stop_ix = stoppages.row_ix
),

answered as (
    select
        placed.*,
        list_min(
            [
                date_diff('second', placed.start_at, placed.seen_at),
                case
                    when placed.acknowledged_at > placed.start_at
                        then date_diff('second', placed.start_at, placed.acknowledged_at)
                    when placed.acknowledged_at >= placed.start_at - interval 120 second then 0
                end,
                case
                    when placed.reason = 'auto-reset'
                        then date_diff('second', placed.start_at, placed.end_at)
                end
            ]
        ) as answer_s,
        date_diff('second', placed.start_at, placed.decided_at) as decision_s,
        date_diff('second', placed.start_at, period.ends_at) as left_s,
        placed.reason in ('crash', 'tool', 'jam', 'power', 'adjustment')
        and placed.are_decisions_kept as asks_decision
    from placed
    cross join period
),

judged as (
    select
        *,
        attendance is null or attendance = 'not-assessable' as is_unclassed,
        coalesce(answer_s <= $stop_answer_s, false) as is_answered,
        answer_s is null and left_s < $stop_answer_s as is_answer_open,
        coalesce(asks_decision and (decision_s is null or decision_s > $hold_within_s), false)
            as lacks_decision,
        decision_s is null and left_s < $hold_within_s as is_decision_open,
        abs(answer_s - $stop_answer_s) <= 2 * tolerance
        or (asks_decision and abs(decision_s - $hold_within_s) <= 2 * tolerance) as fragile
    from answered
)

select
    stop_id,
    machine_ix,
    start_at,
    reason,
    answer_s,
    decision_s,
    attendance,
    shift_ix,
    fragile,
    case
        when planned then 'planned'
        when is_break then 'equal to a planned break'
        when attendance = 'attended' then 'attended when it stopped'
    end as not_applicable,
    case
        when start_at_quality = 'ambiguous' then 'time ambiguous'
        when start_at is null then 'time missing'
        when is_answered and is_unclassed then null
        when is_unclassed then 'not known how the machine was attended'
        when is_answer_open or (is_answered and lacks_decision and is_decision_open)
            then 'window still open'
    end as not_assessable,
    case
        when start_at is null then null
        when is_answered and is_unclassed then false
        when is_unclassed or is_answer_open then null
        when not is_answered then true
        when lacks_decision and is_decision_open then null
        else lacks_decision
    end as exception,
    case
        when answer_s is null then 'no acknowledgement, work or person at the machine is on record'
        when not is_answered then 'answered ' || answer_s // 60 || ' min later'
        else
            'answered after ' || answer_s // 60 || ' min; no hold, check or concern about its pieces is on '
            || 'record in time'
    end as missing
from judged

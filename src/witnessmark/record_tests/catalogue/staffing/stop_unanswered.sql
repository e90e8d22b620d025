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

stops as (
    select
        stoppages.stop_id,
        stoppages.machine_id,
        stoppages.start_at,
        stoppages.start_at_quality,
        stoppages.end_at,
        stoppages.reason,
        stoppages.planned,
        stoppages.acknowledged_at,
        stoppages.clock,
        known_machines.machine_ix,
        known_machines.area
    from stoppages
    inner join known_machines on stoppages.machine_id = known_machines.machine_id
),

classed as materialized (
    select
        stops.*,
        attendance_spans.class as attendance,
        case when stops.start_at < shift_spans.end_at then shift_spans.shift_ix end as shift_ix,
        exists(
            select 1
            from planned_breaks
            where
                stops.area = planned_breaks.area
                and abs(date_diff('second', stops.start_at, planned_breaks.start_at))
                <= tolerance_s(stops.clock, planned_breaks.clock)
                and abs(date_diff('second', stops.end_at, planned_breaks.end_at))
                <= tolerance_s(stops.clock, planned_breaks.clock)
        ) as is_break
    from stops
    asof left join attendance_spans
        on stops.machine_ix = attendance_spans.machine_ix and stops.start_at >= attendance_spans.from_at
    asof left join shift_spans
        on stops.area = shift_spans.area and stops.start_at >= shift_spans.start_at
),

-- Only of these is an answer looked for.
asked as (
    select
        stop_id,
        machine_ix,
        start_at,
        clock,
        epoch_us(start_at) // 14400000000 as four_hours
    from classed
    where not coalesce(planned, false) and not is_break and attendance is distinct from 'attended'
),

-- What shows that somebody was at the machine, or that it was put into another state, and what
-- decides on its pieces.
signs as not materialized (
    select
        machine_id,
        start_at as seen_at,
        null as decided_at,
        clock
    from machine_states
    where state in ('setup', 'maintenance')
    union all
    select
        machine_id,
        start_at as seen_at,
        null as decided_at,
        clock
    from setups
    union all
    select
        machine_id,
        happened_at as seen_at,
        null as decided_at,
        clock
    from process_events
    where kind != 'offset'
    union all
    select
        machine_id,
        done_at as seen_at,
        if(result in ('pass', 'fail'), done_at, null) as decided_at,
        clock
    from checks
    union all
    select
        known_machines.machine_id,
        attendance_spans.from_at as seen_at,
        null as decided_at,
        null as clock
    from attendance_spans
    inner join known_machines on attendance_spans.machine_ix = known_machines.machine_ix
    where attendance_spans.class = 'attended'
    union all
    select
        machine_id,
        null as seen_at,
        placed_at as decided_at,
        null as clock
    from holds
    union all
    select
        lots.machine_id,
        null as seen_at,
        holds.placed_at as decided_at,
        null as clock
    from holds
    inner join lots on holds.lot_no = lots.lot_no
    union all
    select
        lots.machine_id,
        null as seen_at,
        holds.placed_at as decided_at,
        null as clock
    from holds
    inner join lots on holds.container = lots.container
    union all
    select
        machine_id,
        null as seen_at,
        raised_at as decided_at,
        null as clock
    from concerns
),

moments as not materialized (
    select
        known_machines.machine_ix,
        signs.seen_at,
        signs.decided_at,
        coalesce(signs.seen_at, signs.decided_at) as happened_at,
        epoch_us(happened_at) // 14400000000 as four_hours,
        signs.clock
    from signs
    inner join known_machines on signs.machine_id = known_machines.machine_id
),

-- They are many: kept are the first of every four hours and, where an answer is looked for, the first
-- after the stop, which `since` tells apart. The next one after a stop is among them.
firsts as (
    select
        moments.machine_ix,
        moments.clock,
        if(moments.happened_at >= asked.start_at, epoch_us(asked.start_at), moments.four_hours) as since,
        min(moments.seen_at) as seen_at,
        min(moments.decided_at) as decided_at
    from moments
    left join asked on moments.machine_ix = asked.machine_ix and moments.four_hours = asked.four_hours
    group by all
),

first_signs as (
    select
        machine_ix,
        seen_at
    from firsts
    where seen_at is not null
),

first_decisions as (
    select
        machine_ix,
        decided_at
    from firsts
    where decided_at is not null
),

next_ones as (
    select
        asked.stop_id,
        asked.machine_ix,
        asked.clock,
        first_signs.seen_at,
        first_decisions.decided_at
    from asked
    asof left join first_signs
        on asked.machine_ix = first_signs.machine_ix and asked.start_at <= first_signs.seen_at
    asof left join first_decisions
        on asked.machine_ix = first_decisions.machine_ix and asked.start_at <= first_decisions.decided_at
),

-- Several clocks may have written of the same moment: the widest tolerance counts.
answers as (
    select
        next_ones.stop_id,
        next_ones.seen_at,
        next_ones.decided_at,
        max(tolerance_s(next_ones.clock, firsts.clock)) as tolerance
    from next_ones
    left join firsts on next_ones.machine_ix = firsts.machine_ix and next_ones.seen_at = firsts.seen_at
    group by next_ones.stop_id, next_ones.seen_at, next_ones.decided_at
),

placed as (
    select
        classed.*,
        answers.seen_at,
        answers.tolerance,
        answers.decided_at
    from classed
    left join answers on classed.stop_id = answers.stop_id
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
        and exists (select 1 from first_decisions) as asks_decision
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
    machine_id,
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

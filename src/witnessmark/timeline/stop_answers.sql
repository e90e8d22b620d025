/*---
about = "one row per stop of a machine: how it was attended then, and what on record came first after it"
criteria = []
sorted = ["stop_ix"]
---
`stop_ix` is the row of `stoppages`; stops of machines that are not known have none. `is_break`: equal
to a planned break, as far as the clocks can tell.

`seen_at` is the next sign that somebody was at the machine: a set-up or maintenance that began, work
or a check on record, an operator who came. `decided_at` is the next moment at which something was
decided about its pieces: a hold, a complete check, a concern; `are_decisions_kept` says whether any
such moment is on record at all. Neither is looked for after stops that are planned, equal to a break
or of an attended machine. `tolerance` is that of the stop's clock and the sign's, in seconds; of
several clocks that wrote of one moment the widest.
*/
with stops as (
    select
        stoppages.row_ix as stop_ix,
        stoppages.start_at,
        stoppages.end_at,
        stoppages.planned,
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

asked as (
    select
        stop_ix,
        machine_ix,
        start_at,
        clock,
        epoch_us(start_at) // 14400000000 as four_hours
    from classed
    where not coalesce(planned, false) and not is_break and attendance is distinct from 'attended'
),

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
        asked.stop_ix,
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

answers as (
    select
        next_ones.stop_ix,
        next_ones.seen_at,
        next_ones.decided_at,
        cast(max(tolerance_s(next_ones.clock, firsts.clock)) as integer) as tolerance
    from next_ones
    left join firsts on next_ones.machine_ix = firsts.machine_ix and next_ones.seen_at = firsts.seen_at
    group by next_ones.stop_ix, next_ones.seen_at, next_ones.decided_at
)

select
    classed.stop_ix,
    classed.machine_ix,
    classed.attendance,
    classed.shift_ix,
    classed.is_break,
    answers.seen_at,
    answers.decided_at,
    answers.tolerance,
    exists(select 1 from first_decisions) as are_decisions_kept
from classed
left join answers on classed.stop_ix = answers.stop_ix

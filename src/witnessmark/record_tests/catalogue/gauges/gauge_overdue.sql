/*---
finding = "A measurement was taken with a gauge that the records do not show to be in date."
says = "Measurement {ref} on {done_at} used gauge {gauge_id}, {state} at that time."
needs = ["measurements.gauge_id", "checks.done_at", "calibrations"]
criteria = ["gauge_grace_days"]
clauses = ["Q 7.1.5.2", "A 7.1.5.2.1"]
pattern = "depends"
strata = ["attendance", "shift"]
key = ["check_id", "line", "piece_no"]
since = "0.1"

[uses]
gauges = "Gauges unknown to the register are not looked for: no register was given."
---
## What it tests
Whether every measurement was taken with a gauge that its calibration history shows to be in date
at that time, and that the gauge register knows.

## Why it matters
A late calibration may mean only that a certificate was filed late: the gauge can be fine. But
until it is shown to be, the validity of every result taken with it is open, back to its last good
calibration.

## Population
Every measurement. Its ref is check, line and piece.

## Not assessable
- The check has no time, or its time occurred twice that night.
- The gauge is not identified on the record (a fact of its own).
- The calibration history begins after the measurement: only the latest due date was kept.

## Traps
- Due dates are days: a gauge is in date to the end of its due day in the plant's zone.
- The due date is the one valid then, never today's.
- Some plants extend to the end of the month or by some days: state it as gauge_grace_days.
- Usage-based intervals are not in the calibration table; they need the plant's counter.

## Ask next
Pick five gauges from the bench and find them in the register; pick five from the register and
find them on the bench. Who is told when a gauge falls due on a night shift?

## Source
Validity of measuring resources: ISO 9001:2015 7.1.5.2; records of all gauges: IATF 16949:2016
7.1.5.2.1 (clause numbers from memory). Due to the end of the day: common practice, no source.
*/
with

checked_span as (
    select
        min(done_at) as from_at,
        max(done_at) as to_at
    from check_context
),

-- The few stretches that a check can have fallen into.
gaps as materialized (
    select
        gauge_gaps.gauge_id,
        gauge_gaps.from_at,
        gauge_gaps.to_at,
        gauge_gaps.reason
    from gauge_gaps
    inner join checked_span
        on gauge_gaps.from_at <= checked_span.to_at and gauge_gaps.to_at > checked_span.from_at
),

placed as (
    select
        check_measurements.*,
        gaps.reason,
        gauges.gauge_id as known_gauge_id
    from check_measurements
    left join gaps
        on
            check_measurements.gauge_id = gaps.gauge_id
            and check_measurements.done_at >= gaps.from_at
            and check_measurements.done_at < gaps.to_at
    left join gauges on check_measurements.gauge_id = gauges.gauge_id
)

select
    placed.check_ix,
    placed.line,
    placed.piece_no,
    placed.done_at,
    placed.gauge_id,
    placed.attendance,
    placed.shift_ix,
    case
        when placed.is_done_ambiguous then 'time ambiguous'
        when placed.done_at is null then 'time missing'
        when placed.gauge_id is null then 'gauge not identified'
        when placed.reason = 'before-first' then 'no calibration history that early'
    end as not_assessable,
    case placed.reason
        when 'overdue' then 'past its due date'
        when 'found-out' then 'found out and not yet in again'
        else 'not on the register'
    end as state,
    case
        when placed.reason in ('overdue', 'found-out') then true
        when placed.gauge_id is null or placed.done_at is null then null
        when not exists (select 1 from gauges) then false
        else placed.known_gauge_id is null
    end as exception
from placed

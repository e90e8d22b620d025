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

gaps as (
    select
        gauge_id,
        from_at,
        to_at,
        reason
    from gauge_gaps
),

placed as (
    select
        measurements.check_id,
        measurements.line,
        measurements.piece_no,
        measurements.gauge_id,
        checks.row_ix as check_ix,
        checks.done_at,
        checks.done_at_quality,
        gaps.reason
    from measurements
    inner join checks using (check_id)
    left join gaps
        on
            measurements.gauge_id = gaps.gauge_id
            and checks.done_at >= gaps.from_at
            and (gaps.to_at is null or checks.done_at < gaps.to_at)
),

known as (select gauge_id from gauges)

select
    placed.check_id,
    placed.line,
    placed.piece_no,
    placed.done_at,
    placed.gauge_id,
    check_context.attendance,
    check_context.shift,
    check_context.shift_ref,
    case
        when placed.done_at_quality = 'ambiguous' then 'time ambiguous'
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
        when not exists (from known) then false
        else placed.gauge_id not in (from known)
    end as exception
from placed
left join check_context using (check_ix)

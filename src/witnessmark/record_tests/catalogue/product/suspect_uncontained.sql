/*---
finding = "Lots that a suspect window touches are not on record as held in time."
says = "{kind} {ref} on {machine_id}: suspect from {from_at} to {until}; lots not held in time: {not_held}; held in time: {held}."
needs = ["runs", "checks", "lots", "holds"]
criteria = ["hold_within_min"]
clauses = ["A 8.7.1.3", "Q 8.7.1"]
pattern = "systemic"
strata = ["attendance", "shift", "kind"]
key = ["unit_ref"]
since = "0.1"

[uses]
measurements = "A check speaks for every line that lists its kind: no measurements were given."
lot_links = "Lots are not followed into other lots: no lot links were given."
calibrations = "Gauges found out open no window: no calibrations were given."
shipment_lines = "Whether lots were shipped is not known: no shipments were given."
---
## What it tests
Whether all lots made in a suspect window, from the last good check to the first good one after the
correction, were held within the plant's time of detection, for their whole quantity.

## Why it matters
The plant may have sorted the pieces at once without a hold, and their record be elsewhere. If the
last bin alone was held, what was made before it is still under way.

## Population
Every trigger: a failed check or challenge, a gauge found out, a restart without a check, a last-off
that was asked for and not made. Its ref is that of the triggering record.

## Not assessable
- The time of detection is missing.
- No lot of that machine and part in the window is known.
- The data end before the time for a hold is over.

## Traps
- A lot that was open at the window's start is wholly suspect.
- Washing or heat treatment mixes lots: what a suspect lot went into is suspect too.
- The window begins at the last good check with a gauge in date, not at the last check.
- A partial hold holds its quantity. Lots touched only within the clocks' tolerance are fragile.

## Ask next
May we see all bins made since the last good check? How was it decided where to stop?

## Source
Suspect product: IATF 16949:2016 8.7.1.3; ISO 9001:2015 8.7.1 (memory). Held within sixty minutes
of detection: common practice, no source.
*/
with

judged as (
    select
        suspect_containment.*,
        date_diff('second', detected_at, held_at) <= $hold_within_s and held_qty >= qty as in_time,
        date_diff('second', detected_at, held_at) as waited_s
    from suspect_containment
),

units as (
    select
        unit_ref,
        kind,
        min(machine_id) as machine_id,
        min(detected_at) as detected_at,
        min(from_at) as from_at,
        coalesce(max(to_at), max(end_at)) as until,
        min(attendance) as attendance,
        count(lot_no) as n_lots,
        count(*) filter (where lot_no is not null and not coalesce(in_time, false)) as n_not_held,
        count(*) filter (
            where lot_no is not null
            and not coalesce(in_time, false)
            and not coalesce(touch_only_by_tolerance, false)
        ) as n_surely_not_held,
        count(*) filter (where abs(waited_s - $hold_within_s) <= 2 * tolerance) as n_near,
        coalesce(
            string_agg(lot_no, ', ' order by lot_no) filter (where not coalesce(in_time, false)), 'none'
        ) as not_held,
        coalesce(string_agg(lot_no, ', ' order by lot_no) filter (where in_time), 'none') as held
    from judged
    group by unit_ref, kind
),

in_shift as (
    select
        units.unit_ref,
        shift_spans.shift,
        shift_spans.shift_ref
    from units
    inner join known_machines on units.machine_id = known_machines.machine_id
    asof inner join shift_spans
        on known_machines.area = shift_spans.area and units.detected_at >= shift_spans.start_at
    where units.detected_at < shift_spans.end_at
)

select
    units.unit_ref,
    units.kind,
    units.machine_id,
    units.detected_at,
    units.from_at,
    units.until,
    units.not_held,
    units.held,
    units.attendance,
    in_shift.shift,
    in_shift.shift_ref,
    units.n_near > 0 or (units.n_not_held > 0 and units.n_surely_not_held = 0) as fragile,
    case
        when units.detected_at is null then 'time missing'
        when units.n_lots = 0 then 'no lot of the window is known'
        when date_diff('second', units.detected_at, period.ends_at) < $hold_within_s and units.n_not_held > 0
            then 'window still open'
    end as not_assessable,
    case
        when units.detected_at is null or units.n_lots = 0 then null
        when units.n_not_held = 0 then false
        when date_diff('second', units.detected_at, period.ends_at) >= $hold_within_s then true
    end as exception
from units
cross join period
left join in_shift using (unit_ref)

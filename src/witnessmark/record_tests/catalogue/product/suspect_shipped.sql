/*---
finding = "A suspect lot left, and no disposition by then covers what was shipped."
says = "Lot {lot_no}, suspect since {kind} {unit_ref} on {machine_id} at {detected_at}, left at {shipped_at}: {shipped_qty} shipped, {disposed_qty} decided on by then."
needs = ["runs", "checks", "lots", "shipment_lines.lot_no"]
criteria = []
clauses = ["A 8.7.1.6", "A 8.7.1.1", "Q 8.7.1"]
pattern = "systemic"
strata = ["attendance", "kind"]
key = ["unit_ref", "lot_no"]
since = "0.1"

[uses]
holds = "Dispositions are not known: no holds were given."
lot_links = "Lots are not followed into other lots: no lot links were given."
measurements = "A check speaks for every line that lists its kind: no measurements were given."
calibrations = "Gauges found out open no window: no calibrations were given."
---
## What it tests
Whether any lot of a suspect window was shipped before what left had been decided on: released,
reworked or covered by a concession.

## Why it matters
The decision may be in a record that was not given; ask for it first. If there is none, product of
unknown state may be with the customer: the plant's management is to know within the hour. Whether
and what the customer is told is the plant's decision.

## Population
Every trigger times every lot that its windows touch or that such a lot went into. Its ref is the
trigger and the lot. Whether a lot was moved is shown; only a shipment counts.

## Not assessable
- A shipment of the lot has no time, so that what was decided by then is open.

## Traps
- Ship date and load time differ; a lot can be shipped in parts.
- A lot that was relabelled is found only through lot links.
- Scrap that was shipped is an exception too.

## Ask next
Would you trace this lot to its customers while we wait? How long does that usually take?

## Source
Shipped nonconforming product: IATF 16949:2016 8.7.1.6, 8.7.1.1; ISO 9001:2015 8.7.1 (memory).
*/
with untimed as (
    select distinct lot_no from shipment_lines
    where shipped_at is null
)

select
    suspect_containment.unit_ref,
    suspect_containment.lot_no,
    suspect_containment.kind,
    suspect_containment.machine_id,
    suspect_containment.detected_at,
    suspect_containment.how,
    suspect_containment.moved_at,
    suspect_containment.shipped_at,
    suspect_containment.shipped_qty,
    coalesce(suspect_containment.disposed_qty, 0) as disposed_qty,
    suspect_containment.attendance,
    suspect_containment.touch_only_by_tolerance
    and suspect_containment.shipped_qty > coalesce(suspect_containment.disposed_qty, 0) as fragile,
    case when untimed.lot_no is not null then 'time missing' end as not_assessable,
    case
        when suspect_containment.shipped_qty > coalesce(suspect_containment.disposed_qty, 0) then true
        when untimed.lot_no is null then false
    end as exception
from suspect_containment
left join untimed on suspect_containment.lot_no = untimed.lot_no
where suspect_containment.lot_no is not null

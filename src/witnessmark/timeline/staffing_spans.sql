/*---
about = "one row per machine, allocation and stretch in which nothing about the allocation changes"
criteria = []
sorted = ["machine_ix", "from_at", "allocation_ix"]
---
The allocations spelled out for every machine of a group or area. What the columns say stands at
`allocation_spans`.
*/
select
    machine_places.machine_ix,
    spans.from_at,
    spans.to_at,
    spans.allocation_ix,
    spans.person_key,
    spans.role,
    spans.basis,
    spans.place,
    spans.place_kind,
    spans.is_void,
    spans.is_present,
    spans.is_qualified,
    spans.attends
from allocation_spans as spans
inner join machine_places
    on spans.place = machine_places.place and spans.process is not distinct from machine_places.process

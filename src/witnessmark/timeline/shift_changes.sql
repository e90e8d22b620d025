/*---
about = "one row per area and change of shift: the shift that goes and the one that comes"
criteria = []
sorted = ["area", "change_at"]
---
A change is every start of a shift inside the period. The outgoing shift is the last one of the area
that had ended by then; none before the first.
*/
with changes as (
    select
        shift_spans.area,
        shift_spans.start_at as change_at,
        max(shift_spans.end_at) as next_end_at
    from shift_spans
    cross join period
    where shift_spans.start_at >= period.starts_at and shift_spans.start_at <= period.ends_at
    group by shift_spans.area, shift_spans.start_at
)

select
    changes.area,
    changes.change_at,
    changes.next_end_at,
    shift_spans.start_at as out_start_at
from changes
asof left join shift_spans
    on changes.area = shift_spans.area and changes.change_at >= shift_spans.end_at

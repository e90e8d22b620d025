/*---
about = "one row per trigger and lot: how much of a suspect lot was held, and when"
criteria = []
sorted = ["unit_ref", "lot_no"]
---
A trigger may open several windows, one per characteristic; a lot that several touch stands once.
`unit_ref` is the trigger's ref, with its kind where two kinds share one ref. `lot_no` is null for a
trigger that touches no known lot.
*/
with

named as (
    select
        *,
        case
            when min(kind) over (partition by trigger_ref) <> max(kind) over (partition by trigger_ref)
                then trigger_ref || '/' || kind
            else trigger_ref
        end as unit_ref
    from suspect_windows
)

select
    named.unit_ref,
    named.kind,
    min(named.machine_id) as machine_id,
    suspect_lots.lot_no,
    min(named.detected_at) as detected_at,
    min(named.from_at) as from_at,
    case when count(*) = count(named.to_at) then max(named.to_at) end as to_at,
    max(named.end_at) as end_at,
    max(named.pieces) as pieces,
    min(named.attendance) as attendance,
    min(suspect_lots.how) as how,
    bool_and(suspect_lots.touch_only_by_tolerance) as touch_only_by_tolerance,
    max(suspect_lots.qty) as qty,
    max(suspect_lots.held_qty) as held_qty,
    min(suspect_lots.held_at) as held_at,
    min(suspect_lots.moved_at) as moved_at,
    min(suspect_lots.shipped_at) as shipped_at,
    max(suspect_lots.shipped_qty) as shipped_qty,
    max(suspect_lots.disposed_qty) as disposed_qty,
    max(tolerance_s(named.clock, named.clock)) as tolerance
from named
left join suspect_lots using (window_ix)
group by named.unit_ref, named.kind, suspect_lots.lot_no

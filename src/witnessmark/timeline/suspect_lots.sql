/*---
about = "one row per suspect window and lot that it touches, or that product of such a lot went into"
criteria = []
sorted = ["window_ix", "lot_no"]
---
A lot of the machine and part is touched when it was opened before the window's end and closed after
its start; not closed is still open. A lot without an opening time is touched when its closing lies
in the window. `touch_only_by_tolerance` marks a lot that only the tolerance of the clocks puts into
the window. What went into another lot from the window's start on makes that suspect too, as far as
the links lead (`link`).

Held: by lot, by container, or by machine, as long as the hold was not disposed of before the
detection. A hold by container or machine takes the lots that were there (at a machine: opened
before the hold and not moved before it), the latest first, up to its quantity. `held_qty` never
exceeds the lot; `held_at` is when the whole lot was held, else when the first part of it was.

`shipped_at` is the first shipment, `shipped_qty` all of them. `disposed_qty` of a shipped lot is
how much of that had been disposed of for release, rework or concession by the time it left; of
another lot, what was so disposed of. A disposition without quantity covers what was held.
*/
with recursive touching as (
    select
        suspect_windows.window_ix,
        lots.lot_no,
        suspect_windows.from_at,
        suspect_windows.end_at,
        coalesce(lots.opened_at, lots.closed_at) as opened_at,
        coalesce(lots.closed_at, timestamp '9999-12-31') as closed_at,
        tolerance_s(suspect_windows.clock, lots.clock) as tolerance
    from suspect_windows
    inner join lots
        on suspect_windows.machine_id = lots.machine_id and suspect_windows.part_no = lots.part_no
),

touched as (
    select
        window_ix,
        lot_no,
        from_at,
        opened_at >= end_at or closed_at <= from_at as only_by_tolerance
    from touching
    where
        opened_at < end_at + to_seconds(tolerance)
        and closed_at > from_at - to_seconds(tolerance)
),

linked as (
    select
        window_ix,
        lot_no,
        from_at,
        only_by_tolerance,
        false as is_linked
    from touched
    union
    select
        linked.window_ix,
        lot_links.to_lot as lot_no,
        linked.from_at,
        linked.only_by_tolerance,
        true as is_linked
    from linked
    inner join lot_links on linked.lot_no = lot_links.from_lot
    where linked.from_at <= lot_links.linked_at or lot_links.linked_at is null
),

reached as (
    select
        window_ix,
        lot_no,
        bool_and(is_linked) as is_linked,
        bool_and(only_by_tolerance) as only_by_tolerance
    from linked
    group by window_ix, lot_no
),

suspects as (
    select
        reached.window_ix,
        reached.lot_no,
        reached.is_linked,
        reached.only_by_tolerance,
        suspect_windows.from_at,
        suspect_windows.detected_at,
        lots.qty,
        lots.moved_at
    from reached
    inner join suspect_windows on reached.window_ix = suspect_windows.window_ix
    left join lots on reached.lot_no = lots.lot_no
),

-- Which lots a hold by container or machine takes, whatever the windows.
inside as (
    select
        holds.hold_id,
        holds.qty as hold_qty,
        lots.lot_no,
        lots.qty,
        lots.opened_at
    from holds
    inner join lots on holds.container = lots.container
    where holds.lot_no is null and (holds.placed_at >= lots.opened_at or lots.opened_at is null)
    union all
    select
        holds.hold_id,
        holds.qty as hold_qty,
        lots.lot_no,
        lots.qty,
        lots.opened_at
    from holds
    inner join lots on holds.machine_id = lots.machine_id
    where
        holds.lot_no is null
        and holds.container is null
        and (holds.placed_at >= lots.opened_at or lots.opened_at is null)
        and (holds.placed_at <= lots.moved_at or lots.moved_at is null)
),

filled as (
    select
        hold_id,
        lot_no,
        hold_qty - coalesce(
            sum(qty) over (
                partition by hold_id
                order by opened_at desc, lot_no desc
                rows between unbounded preceding and 1 preceding
            ),
            0
        ) as room
    from inside
),

hold_lots as (
    select
        hold_id,
        lot_no,
        qty as room
    from holds
    where lot_no is not null
    union all
    select
        hold_id,
        lot_no,
        room
    from filled
    where room > 0 or room is null
),

held_parts as (
    select
        suspects.window_ix,
        suspects.lot_no,
        suspects.qty,
        holds.hold_id,
        holds.placed_at,
        holds.disposition,
        holds.disposed_at,
        holds.qty_disposed,
        coalesce(
            case when hold_lots.room < suspects.qty then hold_lots.room else suspects.qty end,
            hold_lots.room
        ) as part
    from suspects
    inner join hold_lots on suspects.lot_no = hold_lots.lot_no
    inner join holds on hold_lots.hold_id = holds.hold_id
    where
        holds.placed_at is not null
        and (suspects.detected_at < holds.disposed_at or holds.disposed_at is null)
),

mounting as (
    select
        *,
        sum(part) over (
            partition by window_ix, lot_no
            order by placed_at, hold_id
            rows between unbounded preceding and current row
        ) as held_so_far
    from held_parts
),

held as (
    select
        window_ix,
        lot_no,
        cast(sum(part) as bigint) as held_qty,
        coalesce(min(placed_at) filter (where held_so_far >= qty), min(placed_at)) as held_at
    from mounting
    group by window_ix, lot_no
),

movements as (
    select
        window_ix,
        lot_no,
        disposed_at as moved_at,
        'disposed' as what,
        hold_id as source_ref,
        case when qty_disposed < part then qty_disposed else part end as qty
    from held_parts
    where disposition in ('release', 'rework', 'concession') and disposed_at is not null
    union all
    select
        suspects.window_ix,
        suspects.lot_no,
        shipment_lines.shipped_at as moved_at,
        'shipped' as what,
        concat_ws('/', shipment_lines.ship_no, shipment_lines.line) as source_ref,
        shipment_lines.qty
    from suspects
    inner join shipment_lines on suspects.lot_no = shipment_lines.lot_no
    where suspects.from_at <= shipment_lines.shipped_at
),

balanced as (
    select
        *,
        coalesce(sum(qty) filter (where what = 'shipped') over in_time, 0)
        - coalesce(sum(qty) filter (where what = 'disposed') over in_time, 0) as undisposed
    from movements
    window in_time as (
        partition by window_ix, lot_no
        order by moved_at, what, source_ref
        rows between unbounded preceding and current row
    )
),

gone as (
    select
        window_ix,
        lot_no,
        cast(sum(qty) filter (where what = 'shipped') as bigint) as shipped_qty,
        cast(sum(qty) filter (where what = 'disposed') as bigint) as all_disposed_qty,
        cast(max(undisposed) filter (where what = 'shipped') as bigint) as undisposed_qty,
        min(moved_at) filter (where what = 'shipped') as shipped_at
    from balanced
    group by window_ix, lot_no
),

counted as (
    select
        suspects.window_ix,
        suspects.lot_no,
        suspects.qty,
        suspects.moved_at,
        suspects.only_by_tolerance as touch_only_by_tolerance,
        held.held_at,
        gone.shipped_at,
        coalesce(gone.shipped_qty, 0) as shipped_qty,
        case when suspects.is_linked then 'link' else 'touch' end as how,
        coalesce(case when held.held_qty > suspects.qty then suspects.qty else held.held_qty end, 0)
            as held_qty,
        case
            when gone.shipped_at is null then coalesce(gone.all_disposed_qty, 0)
            when gone.undisposed_qty > 0 then gone.shipped_qty - gone.undisposed_qty
            else gone.shipped_qty
        end as disposed_qty
    from suspects
    left join held on suspects.window_ix = held.window_ix and suspects.lot_no = held.lot_no
    left join gone on suspects.window_ix = gone.window_ix and suspects.lot_no = gone.lot_no
)

select
    window_ix,
    lot_no,
    how,
    touch_only_by_tolerance,
    qty,
    held_qty,
    held_at,
    moved_at,
    shipped_at,
    shipped_qty,
    disposed_qty,
    case
        when shipped_at is not null then 'shipped'
        when held_at is null then 'not-held'
        when held_qty < qty then 'partly-held'
        else 'held'
    end as state
from counted

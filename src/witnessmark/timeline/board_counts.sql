/*---
about = "one row per board field, basis and quantity of deliveries, hours or concerns"
criteria = []
sorted = ["unit_ix", "basis", "quantity"]
---
Pieces due are those of order lines with this original due date, for parts that the area works on;
shipped complete means the whole line, by the end of that day.

Overtime hours are those booked to the area by its own name; hours booked to persons are not taken
apart by area. Regular hours are the hours of the area's regular shifts, not of persons. Neither
carries an entry time: both are taken as known when the colour was set.

A safety concern is one whose kind reads "safety", on the day it names, else on that of the shift in
which it was raised. A concern is open until all its actions are
closed; it is counted at the end of the day, or when the colour was set if that was earlier.

`amount` is null where it cannot be computed; `why_not` then says why.
*/
with moments as (
    select
        unit_ix,
        basis,
        area,
        production_date,
        shift,
        ends_at,
        until_at,
        quantities
    from board_moments
),

due as (
    select
        area_parts.area,
        delivered_lines.qty,
        delivered_lines.due_original,
        delivered_lines.complete_at,
        delivered_lines.is_on_time
    from delivered_lines
    inner join area_parts on delivered_lines.part_no = area_parts.part_no
),

deliveries as (
    select
        moments.unit_ix,
        moments.basis,
        sum(due.qty) as due,
        sum(due.qty) filter (where due.is_on_time and due.complete_at <= moments.until_at) as complete,
        count(*) filter (where due.area is not null and due.is_on_time is null) as doubtful
    from moments
    left join due
        on
            moments.area = due.area
            and moments.production_date = due.due_original
    group by moments.unit_ix, moments.basis
),

orders as (
    select
        count(*) as n,
        (select count(*) from shipment_lines) as n_shipments
    from demand_lines
),

delivered as (
    select
        deliveries.unit_ix,
        deliveries.basis,
        'pieces due' as quantity,
        case when orders.n > 0 then coalesce(deliveries.due, 0) end as amount,
        'no order lines on record' as lacks
    from deliveries
    cross join orders
    union all
    select
        deliveries.unit_ix,
        deliveries.basis,
        'pieces shipped complete by original date' as quantity,
        case
            when orders.n > 0 and orders.n_shipments > 0 and deliveries.doubtful = 0
                then coalesce(deliveries.complete, 0)
        end as amount,
        case
            when orders.n = 0 then 'no order lines on record'
            when orders.n_shipments = 0 then 'no shipments on record'
            else 'a shipment names no order or has no certain time'
        end as lacks
    from deliveries
    cross join orders
),

-- Hours kept by area name make an area without any a zero, not a gap.
overtime_areas as (
    select count(*) as n
    from overtime_entries
    where area_or_person in (select known_machines.area from known_machines)
),

overtime as (
    select
        moments.unit_ix,
        moments.basis,
        'overtime hours' as quantity,
        case when overtime_areas.n > 0 then coalesce(overtime_entries.hours, 0) end as amount,
        'no overtime is booked to areas by name' as lacks
    from moments
    cross join overtime_areas
    left join overtime_entries
        on
            moments.area = overtime_entries.area_or_person
            and moments.production_date = overtime_entries.worked_on
),

regular as (
    select
        moments.unit_ix,
        moments.basis,
        'regular hours' as quantity,
        case
            when count(shift_spans.shift_ix) > 0
                then coalesce(sum(shift_spans.length_s) filter (where not shift_spans.overtime), 0) / 3600.0
        end as amount,
        'no shift of that day on record' as lacks
    from moments
    left join shift_spans
        on
            moments.area = shift_spans.area
            and moments.production_date = shift_spans.production_date
            and coalesce(moments.shift = shift_spans.shift, moments.shift is null)
    group by moments.unit_ix, moments.basis
),

raised as (
    select
        concerns.concern_id,
        concerns.area,
        concerns.raised_at,
        lower(trim(concerns.kind)) as kind,
        coalesce(
            concerns.production_date,
            case when concerns.raised_at < shift_spans.end_at then shift_spans.production_date end,
            local_date(concerns.raised_at)
        ) as production_date
    from concerns
    asof left join shift_spans
        on concerns.area = shift_spans.area and concerns.raised_at >= shift_spans.start_at
),

listed as (
    select
        count(*) as n,
        (select count(*) from actions) as n_actions
    from concerns
),

safety as (
    select
        moments.unit_ix,
        moments.basis,
        'safety concerns raised' as quantity,
        case
            when max(listed.n) > 0 and count(raised.kind) = count(raised.concern_id)
                then count(*) filter (where raised.kind = 'safety')
        end as amount,
        'no concerns on record, or one of that day without a kind' as lacks
    from moments
    cross join listed
    left join raised
        on
            moments.area = raised.area
            and moments.production_date = raised.production_date
            and moments.until_at >= raised.raised_at
    group by moments.unit_ix, moments.basis
),

closings as (
    select
        concern_id,
        case when count(closed_at) = count(*) then max(closed_at) end as closed_at
    from actions
    group by concern_id
),

spells as (
    select
        raised.area,
        raised.raised_at as from_at,
        coalesce(closings.closed_at, timestamp '9999-12-31') as to_at
    from raised
    left join closings on raised.concern_id = closings.concern_id
),

open_then as (
    select
        moments.unit_ix,
        moments.basis,
        'concerns open' as quantity,
        case when max(listed.n) > 0 and max(listed.n_actions) > 0 then count(spells.area) end as amount,
        'no concerns or no actions on record' as lacks
    from moments
    cross join listed
    left join spells
        on
            moments.area = spells.area
            and moments.until_at >= spells.from_at
            and moments.ends_at >= spells.from_at
            and (moments.until_at < spells.to_at or moments.ends_at < spells.to_at)
    where list_contains(moments.quantities, 'concerns open')
    group by moments.unit_ix, moments.basis
),

amounts as (
    select * from delivered
    union all
    select * from overtime
    union all
    select * from safety
    union all
    select * from regular
    union all
    select * from open_then
),

judged as (
    select
        amounts.unit_ix,
        amounts.basis,
        amounts.quantity,
        amounts.amount,
        case
            when moments.shift is not null and amounts.quantity not in ('regular hours', 'concerns open')
                then 'on record by day, not by shift'
            when amounts.amount is null then amounts.lacks
        end as why_not
    from amounts
    inner join moments
        on
            amounts.unit_ix = moments.unit_ix
            and amounts.basis = moments.basis
            and list_contains(moments.quantities, amounts.quantity)
)

select
    unit_ix,
    basis,
    quantity,
    why_not,
    case when why_not is null then amount end as amount
from judged

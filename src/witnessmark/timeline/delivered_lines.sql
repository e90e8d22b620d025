/*---
about = "one row per order line of a customer: when it was shipped complete"
criteria = []
sorted = ["customer_order", "line"]
---
Shipments name the customer's order and the part, not the line: they serve the lines of one order
and part by due date. `complete_at` is the shipment that completed the line, null while it is open.
On time is the original due date, to the end of that day in the plant's zone; a re-promised date
changes nothing.

`is_on_time` is null where a shipment of that part up to the due date names no order or has no
certain time, and the line was not complete without it.
*/
with lines as (
    select
        customer_order,
        line,
        part_no,
        qty,
        due_original,
        sum(qty) over (
            partition by customer_order, part_no order by due_original, line
        ) as wanted_to_here
    from demand_lines
),

shipped as (
    select
        customer_order,
        part_no,
        shipped_at,
        sum(qty) as qty,
        coalesce(bool_or(premium_freight), false) as was_hurried,
        sum(sum(qty)) over (partition by customer_order, part_no order by shipped_at) as shipped_to_here
    from shipment_lines
    where customer_order is not null and shipped_at is not null
    group by customer_order, part_no, shipped_at
),

completed as (
    select
        lines.customer_order,
        lines.line,
        min(shipped.shipped_at) as complete_at
    from lines
    inner join shipped
        on
            lines.customer_order = shipped.customer_order
            and lines.part_no = shipped.part_no
            and lines.wanted_to_here <= shipped.shipped_to_here
    group by lines.customer_order, lines.line
),

doubtful as (
    select
        part_no,
        min(coalesce(local_date(shipped_at), date '0001-01-01')) as first_on
    from shipment_lines
    where customer_order is null or shipped_at is null
    group by part_no
),

-- A shipment serves the pieces that follow those shipped before it.
hurried as (
    select distinct
        lines.customer_order,
        lines.line
    from lines
    inner join shipped
        on
            lines.customer_order = shipped.customer_order
            and lines.part_no = shipped.part_no
            and lines.wanted_to_here > shipped.shipped_to_here - shipped.qty
            and lines.wanted_to_here - lines.qty < shipped.shipped_to_here
    where shipped.was_hurried
)

select
    lines.customer_order,
    lines.line,
    lines.part_no,
    lines.qty,
    lines.due_original,
    completed.complete_at,
    hurried.line is not null as had_premium_freight,
    case
        when lines.qty is null or lines.due_original is null then null
        when local_date(completed.complete_at) <= lines.due_original then true
        when doubtful.first_on <= lines.due_original then null
        else false
    end as is_on_time
from lines
left join completed
    on lines.customer_order = completed.customer_order and lines.line = completed.line
left join doubtful on lines.part_no = doubtful.part_no
left join hurried
    on lines.customer_order = hurried.customer_order and lines.line = hurried.line

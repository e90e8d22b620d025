/*---
about = "one row per order, machine and version of the schedule: the day it was planned for"
criteria = []
sorted = ["order_no", "version", "machine_id"]
---
The production day and shift of the planned start, from the shift that it falls into; where none is
on record, the local day without a shift. `ends_on` is the same for the planned end.

`in_force_from` and `in_force_to` say when a frozen version was the order's latest frozen one (from
its print to the print of the next frozen version); both are null for a line that was not frozen.
`is_first_frozen` and `is_last` mark the order's first frozen version and its last of all.
*/
with lines as (
    select
        schedule_lines.*,
        known_machines.area
    from schedule_lines
    left join known_machines on schedule_lines.machine_id = known_machines.machine_id
),

started as (
    select
        lines.*,
        case when lines.start_at < shift_spans.end_at then shift_spans.shift end as shift,
        case
            when lines.start_at < shift_spans.end_at then shift_spans.production_date
            else local_date(lines.start_at)
        end as production_date
    from lines
    asof left join shift_spans
        on lines.area = shift_spans.area and lines.start_at >= shift_spans.start_at
),

placed as (
    select
        started.*,
        case
            when started.end_at <= shift_spans.end_at then shift_spans.production_date
            else local_date(started.end_at)
        end as ends_on
    from started
    asof left join shift_spans
        on started.area = shift_spans.area and started.end_at > shift_spans.start_at
),

frozen_versions as (
    select
        order_no,
        version,
        coalesce(min(version_at), timestamp '0001-01-01') as printed_at
    from schedule_lines
    where frozen
    group by order_no, version
),

spells as (
    select
        order_no,
        version,
        printed_at as in_force_from,
        coalesce(
            lead(printed_at) over (partition by order_no order by version),
            timestamp '9999-12-31'
        ) as in_force_to,
        row_number() over (partition by order_no order by version) = 1 as is_first_frozen
    from frozen_versions
)

select
    placed.order_no,
    placed.version,
    placed.machine_id,
    placed.version_at,
    placed.version_at_quality,
    placed.frozen,
    placed.start_at,
    placed.area,
    placed.part_no,
    placed.qty,
    placed.production_date,
    placed.shift,
    placed.ends_on,
    case when placed.frozen then spells.in_force_from end as in_force_from,
    case when placed.frozen then spells.in_force_to end as in_force_to,
    coalesce(placed.frozen and spells.is_first_frozen, false) as is_first_frozen,
    placed.version = max(placed.version) over (partition by placed.order_no) as is_last
from placed
left join spells on placed.order_no = spells.order_no and placed.version = spells.version

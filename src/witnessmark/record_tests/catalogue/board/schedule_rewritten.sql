/*---
finding = "An order was changed in quantity or day inside the frozen time, or after its planned start."
says = "Order line {order_no} on machine {machine_id}, version {version} of {version_at}: {old_qty} pieces for {old_day} became {qty} for {new_day} ({ground}). Pieces attained in that week by the frozen plan: {attained_frozen}; by the last plan: {attained_last}."
needs = ["schedule_lines.version_at", "schedule_lines.frozen"]
criteria = ["attainment_drop_share"]
clauses = ["A 8.5.1.7"]
pattern = "systemic"
strata = ["area", "ground"]
key = ["order_no", "machine_id", "version"]
since = "0.1"

[uses]
outputs = "What rewriting did to attainment is not looked for: no output reports were given."
machines = "Attainment by area is not looked for: no machine register was given."
shift_instances = "Planned days are calendar days: no shift calendar was given."
---
## What it tests
Whether the plan by which an area is measured stood still: no change of quantity or production day
after an order's first frozen version, or after its planned start.

## Why it matters
Plans change for good reasons: a customer asks, material is late, a machine stands. But where the
plan follows what was made, attainment is high by itself, and shows nothing.

## Population
Each line of an order (order and machine) in each version, from the order's first frozen one on. Its
ref is order, machine and version. The first version of an order has nothing to be compared with,
and a version before the freeze binds nobody: not applicable. An order with one version conforms.

## Not assessable
- The only version was printed after its planned start: what was planned before is not on record.
- The time of the print is missing and decides the matter.
- The attainment of that week cannot be computed, for a changed order's last version.

## Traps
- Planning systems roll overdue orders forward by themselves: a later start by no more than the
  order was overdue when printed, with the same quantity, is shown and is no exception.
- The last version of an order that was changed is also an exception where the week's attainment
  rose by more than 5 points through the changes.
- Another machine, or the same quantity split over machines, is no change of quantity.
- Days are production days: a start moved within the shift's day is none.

## Ask next
May we see Monday morning's print of any past week, and this week's? Who may change a frozen order,
and what does the board count against?

## Source
Production scheduling: IATF 16949:2016 8.5.1.7 (memory). Five points: common practice, no source.
*/
with versions as (
    select
        order_no,
        version,
        sum(qty) as total_qty,
        min(start_at) as first_start_at,
        min(production_date) as starts_on,
        max(ends_on) as ends_on,
        bool_or(frozen) as frozen
    from planned_lines
    group by order_no, version
),

orders as (
    select
        *,
        lag(version) over in_order as old_version,
        lag(total_qty) over in_order as old_total,
        lag(first_start_at) over in_order as old_start_at,
        lag(starts_on) over in_order as old_starts_on,
        lag(ends_on) over in_order as old_ends_on,
        coalesce(
            bool_or(frozen) over (in_order rows between unbounded preceding and 1 preceding), false
        ) as is_frozen_before,
        count(*) over (partition by order_no) as n_versions
    from versions
    window in_order as (partition by order_no order by version)
),

compared as (
    select
        planned_lines.*,
        orders.total_qty,
        orders.first_start_at,
        orders.starts_on,
        orders.n_versions,
        orders.old_version,
        orders.old_total,
        orders.is_frozen_before,
        coalesce(old_lines.qty, orders.old_total) as old_qty,
        coalesce(old_lines.production_date, orders.old_starts_on) as old_day,
        coalesce(old_lines.start_at, orders.old_start_at) as old_start_at,
        coalesce(old_lines.ends_on, orders.old_ends_on) as old_ends_on
    from planned_lines
    inner join orders
        on
            planned_lines.order_no = orders.order_no
            and planned_lines.version = orders.version
    left join planned_lines as old_lines
        on
            planned_lines.order_no = old_lines.order_no
            and planned_lines.machine_id = old_lines.machine_id
            and orders.old_version = old_lines.version
),

-- What the order's first frozen version promised, against which its last one is held.
origins as (
    select
        order_no,
        min(version) as version,
        arg_min(total_qty, version) as total_qty,
        arg_min(starts_on, version) as starts_on,
        arg_min(first_start_at, version) as first_start_at
    from versions
    where frozen
    group by order_no
),

made as (select count(*) > 0 as is_given from outputs),

judged as (
    select
        compared.*,
        plan_attainment.attained_frozen,
        plan_attainment.planned_frozen,
        plan_attainment.attained_last,
        plan_attainment.planned_last,
        made.is_given as is_made_known,
        (compared.qty <> compared.old_qty and compared.total_qty <> compared.old_total) as has_new_qty,
        (
            compared.production_date <> compared.old_day
            or coalesce(compared.ends_on <> compared.old_ends_on, false)
        ) as has_new_day,
        (
            compared.start_at > compared.old_start_at
            and compared.start_at <= compared.version_at
        ) as is_rolled,
        (
            compared.is_frozen_before
            or coalesce(compared.version_at > compared.old_start_at, false)
        ) as is_binding,
        coalesce((
            made.is_given
            and compared.area is not null
            and compared.is_last
            and compared.version > origins.version
            and (compared.total_qty <> origins.total_qty or compared.starts_on <> origins.starts_on)
            and not (
                compared.total_qty = origins.total_qty
                and compared.first_start_at > origins.first_start_at
                and compared.first_start_at <= compared.version_at
            )
        ), false) as is_moved,
        (
            plan_attainment.attained_last * plan_attainment.planned_frozen
            - plan_attainment.attained_frozen * plan_attainment.planned_last
            > $attainment_drop_share * plan_attainment.planned_frozen * plan_attainment.planned_last
        ) as has_risen
    from compared
    cross join made
    left join origins on compared.order_no = origins.order_no
    left join plan_attainment
        on
            compared.area = plan_attainment.area
            and cast(date_trunc('week', origins.starts_on) as date) = plan_attainment.week_from
),

grounded as (
    select
        *,
        case
            when has_new_qty and has_new_day then 'quantity and day changed'
            when has_new_qty then 'quantity changed'
            when has_new_day and is_rolled then 'rolled forward'
            when has_new_day and is_rolled is null then 'day changed, or rolled forward'
            when has_new_day then 'day changed'
            when is_moved and has_risen then 'changed before, and attainment rose'
            else 'unchanged'
        end as ground
    from judged
),

marked as (
    select
        *,
        case
            when n_versions = 1 then case when version_at <= start_at then false end
            when ground = 'rolled forward' then false
            when ground = 'unchanged' then case when not is_moved or has_risen is not null then false end
            when ground = 'day changed, or rolled forward' or not is_binding then null
            else true
        end as exception
    from grounded
)

select
    order_no,
    machine_id,
    version,
    version_at,
    area,
    old_qty,
    old_day,
    qty,
    production_date as new_day,
    ground,
    exception,
    case when is_made_known then attained_frozen || ' of ' || planned_frozen end as attained_frozen,
    case when is_made_known then attained_last || ' of ' || planned_last end as attained_last,
    case
        when n_versions = 1 then null
        when old_version is null then 'the first version'
        when not is_binding and version_at is not null then 'before the freeze'
    end as not_applicable,
    case
        when exception is not null then null
        when version_at_quality = 'ambiguous' then 'time ambiguous'
        when version_at is null then 'time missing'
        when n_versions = 1 then 'one version only, printed after its planned start'
        else 'attainment of that week cannot be computed'
    end as not_assessable
from marked

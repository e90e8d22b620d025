/*---
about = "one row per area and week: the machine hours that the plan asks for, and the regular ones"
criteria = []
sorted = ["area", "week_from"]
---
The demonstrated share of an area is the ideal time of the good pieces that it reported, divided by
the machine time of the shifts that it worked (all its machines, regular shifts and overtime, over
the whole data). Set-ups, stops and scrap are in it. Required time of a week is the ideal time of
what the latest frozen plan starts in it, divided by that share; regular time is that of the week's
regular shifts on all machines.

`required_s` counts the plan's lines whose ideal cycle is known; `lines_without_cycle` the others. It
is null where no demonstrated share can be told.
*/
with cycles as (
    select
        part_no,
        group_id,
        max(ideal_cycle_s) as cycle_s
    from routings
    group by part_no, group_id
    having count(distinct ideal_cycle_s) = 1
),

areas as (
    select
        area,
        count(*) as machines
    from known_machines
    where area is not null
    group by area
),

made as (
    select
        known_machines.area,
        sum(outputs.good * cycles.cycle_s) as ideal_s
    from outputs
    inner join known_machines on outputs.machine_id = known_machines.machine_id
    inner join cycles
        on
            outputs.part_no = cycles.part_no
            and known_machines.group_id = cycles.group_id
    group by known_machines.area
),

worked as (
    select
        shift_spans.area,
        sum(shift_spans.length_s) as shift_s
    from shift_spans
    inner join shift_production on shift_spans.shift_ix = shift_production.shift_ix
    where shift_production.produced
    group by shift_spans.area
),

shares as (
    select
        areas.area,
        areas.machines,
        cast(made.ideal_s as double) / (worked.shift_s * areas.machines) as share
    from areas
    left join made on areas.area = made.area
    left join worked on areas.area = worked.area
),

planned as (
    select
        planned_lines.area,
        cast(date_trunc('week', planned_lines.production_date) as date) as week_from,
        coalesce(sum(planned_lines.qty * cycles.cycle_s), 0) as ideal_s,
        count(*) filter (where cycles.cycle_s is null) as lines_without_cycle
    from planned_lines
    inner join known_machines on planned_lines.machine_id = known_machines.machine_id
    left join cycles
        on
            planned_lines.part_no = cycles.part_no
            and known_machines.group_id = cycles.group_id
    where planned_lines.in_force_to = timestamp '9999-12-31'
    group by planned_lines.area, cast(date_trunc('week', planned_lines.production_date) as date)
),

regular as (
    select
        area,
        cast(date_trunc('week', production_date) as date) as week_from,
        coalesce(sum(length_s) filter (where not overtime), 0) as shift_s
    from shift_spans
    group by area, cast(date_trunc('week', production_date) as date)
)

select
    regular.area,
    regular.week_from,
    planned.lines_without_cycle,
    cast(regular.shift_s * shares.machines as bigint) as regular_s,
    cast(round(planned.ideal_s / nullif(shares.share, 0)) as bigint) as required_s,
    planned.area is not null as is_planned
from regular
left join shares on regular.area = shares.area
left join planned on regular.area = planned.area and regular.week_from = planned.week_from

/*---
about = "one row per area and week: what was attained of the first frozen plan, and of the last one"
criteria = []
sorted = ["area", "week_from"]
---
Attained is the smaller of made and planned, by part and production day of the planned start, summed
over the week (from Monday). The first frozen plan takes each order as its first frozen version had
it, the last plan as its last version has it, frozen or not.

Pieces are null where nothing was planned; the attained ones also where scrap is not reported and
the good pieces alone do not decide.
*/
with plans as (
    select
        'frozen' as plan,
        area,
        production_date,
        part_no,
        qty
    from planned_lines
    where is_first_frozen
    union all
    select
        'last' as plan,
        area,
        production_date,
        part_no,
        qty
    from planned_lines
    where is_last
),

planned as (
    select
        plan,
        area,
        production_date,
        part_no,
        sum(qty) as planned
    from plans
    where area is not null
    group by plan, area, production_date, part_no
),

made as (
    select
        known_machines.area,
        outputs.production_date,
        outputs.part_no,
        case when count(outputs.good) = count(*) then sum(outputs.good) end as good,
        case when count(outputs.scrap) = count(*) then sum(outputs.scrap) end as scrap
    from outputs
    inner join known_machines on outputs.machine_id = known_machines.machine_id
    group by known_machines.area, outputs.production_date, outputs.part_no
),

attained as (
    select
        planned.plan,
        planned.area,
        planned.planned,
        cast(date_trunc('week', planned.production_date) as date) as week_from,
        case
            when made.area is null then 0
            when made.good >= planned.planned then planned.planned
            when made.good + made.scrap >= planned.planned then planned.planned
            else made.good + made.scrap
        end as attained
    from planned
    left join made
        on
            planned.area = made.area
            and planned.production_date = made.production_date
            and planned.part_no = made.part_no
),

weeks as (
    select
        area,
        week_from,
        plan,
        sum(planned) as planned,
        case when count(attained) = count(*) then sum(attained) end as attained
    from attained
    group by area, week_from, plan
)

select
    area,
    week_from,
    cast(max(planned) filter (where plan = 'frozen') as bigint) as planned_frozen,
    cast(max(attained) filter (where plan = 'frozen') as bigint) as attained_frozen,
    cast(max(planned) filter (where plan = 'last') as bigint) as planned_last,
    cast(max(attained) filter (where plan = 'last') as bigint) as attained_last
from weeks
group by area, week_from

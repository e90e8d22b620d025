/*---
about = "one row per board field, basis and quantity of pieces made or planned"
criteria = []
sorted = ["unit_ix", "basis", "quantity"]
---
What was known when the colour was set: output by its entry, scrap by its booking, schedule versions
by their print. An output row without an entry time is taken as known from the end of its shift,
before which nobody could know it, and where that shift is not on record either, as known.

Made is good and scrap; first-time-right is good less rework. Scrap is the larger of two records of
the same pieces: those reported per machine and day, and those booked in scrap entries. Entries name
no shift, so that a field of one shift goes by the reported ones. An entry without a production day
counts for the day of the shift in which it was booked, else for the local day.

Planned is the quantity of the schedule's latest frozen version, on the production day (or shift) of
the planned start. Attained is the smaller of made and planned, part by part: more of one part never
makes up for less of another.

`amount` is null where it cannot be computed; `why_not` then says why.
*/
with moments as (
    select
        unit_ix,
        basis,
        area,
        production_date,
        shift,
        until_at,
        quantities
    from board_moments
),

reports as (
    select
        outputs.*,
        known_machines.area,
        coalesce(outputs.entered_at, shift_spans.end_at, timestamp '0001-01-01') as known_from
    from outputs
    inner join known_machines on outputs.machine_id = known_machines.machine_id
    left join shift_spans
        on
            known_machines.area = shift_spans.area
            and outputs.production_date = shift_spans.production_date
            and outputs.shift = shift_spans.shift
),

made as (
    select
        moments.unit_ix,
        moments.basis,
        reports.machine_id,
        reports.part_no,
        reports.good,
        reports.scrap,
        reports.rework
    from moments
    inner join reports
        on
            moments.area = reports.area
            and moments.production_date = reports.production_date
            and moments.until_at >= reports.known_from
            and coalesce(moments.shift = reports.shift, moments.shift is null)
),

entries as (
    select
        scrap_entries.machine_id,
        scrap_entries.qty,
        scrap_entries.booked_at,
        known_machines.area,
        coalesce(
            scrap_entries.production_date,
            case when scrap_entries.booked_at < shift_spans.end_at then shift_spans.production_date end,
            local_date(scrap_entries.booked_at)
        ) as production_date
    from scrap_entries
    inner join known_machines on scrap_entries.machine_id = known_machines.machine_id
    asof left join shift_spans
        on
            known_machines.area = shift_spans.area
            and scrap_entries.booked_at >= shift_spans.start_at
),

booked as (
    select
        moments.unit_ix,
        moments.basis,
        entries.machine_id,
        sum(entries.qty) filter (where moments.until_at >= entries.booked_at) as scrap
    from moments
    inner join entries
        on
            moments.area = entries.area
            and moments.production_date = entries.production_date
    where moments.shift is null
    group by moments.unit_ix, moments.basis, entries.machine_id
),

reported as (
    select
        unit_ix,
        basis,
        machine_id,
        case when count(scrap) = count(*) then sum(scrap) end as scrap
    from made
    group by unit_ix, basis, machine_id
),

-- Of a machine with entries on other days only, none on this day is zero.
booking_areas as (select distinct area from entries),

scrapped as (
    select
        moments.unit_ix,
        moments.basis,
        case
            when moments.shift is not null or booking_areas.area is null then reported.scrap
            when reported.scrap > coalesce(booked.scrap, 0) then reported.scrap
            else coalesce(booked.scrap, 0)
        end as scrap
    from reported
    full join booked
        on
            reported.unit_ix = booked.unit_ix
            and reported.basis = booked.basis
            and reported.machine_id = booked.machine_id
    inner join moments
        on
            coalesce(reported.unit_ix, booked.unit_ix) = moments.unit_ix
            and coalesce(reported.basis, booked.basis) = moments.basis
    left join booking_areas on moments.area = booking_areas.area
),

scrap_totals as (
    select
        unit_ix,
        basis,
        case when count(scrap) = count(*) then sum(scrap) end as scrap
    from scrapped
    group by unit_ix, basis
),

made_totals as (
    select
        unit_ix,
        basis,
        case when count(good) = count(*) then sum(good) end as good,
        case when count(rework) = count(*) then sum(rework) end as rework
    from made
    group by unit_ix, basis
),

parts as (
    select
        unit_ix,
        basis,
        part_no,
        case when count(good) = count(*) then sum(good) end as good,
        case when count(scrap) = count(*) then sum(scrap) end as scrap
    from made
    group by unit_ix, basis, part_no
),

planned as (
    select
        moments.unit_ix,
        moments.basis,
        planned_lines.part_no,
        sum(planned_lines.qty) as planned
    from moments
    inner join planned_lines
        on
            moments.area = planned_lines.area
            and moments.production_date = planned_lines.production_date
            and moments.until_at >= planned_lines.in_force_from
            and moments.until_at < planned_lines.in_force_to
            and coalesce(moments.shift = planned_lines.shift, moments.shift is null)
    group by moments.unit_ix, moments.basis, planned_lines.part_no
),

attained as (
    select
        planned.unit_ix,
        planned.basis,
        planned.planned,
        case
            when parts.part_no is null then 0
            when parts.good >= planned.planned then planned.planned
            when parts.good + parts.scrap >= planned.planned then planned.planned
            else parts.good + parts.scrap
        end as attained
    from planned
    left join parts
        on
            planned.unit_ix = parts.unit_ix
            and planned.basis = parts.basis
            and planned.part_no = parts.part_no
),

plan_totals as (
    select
        unit_ix,
        basis,
        sum(planned) as planned,
        case when count(attained) = count(*) then sum(attained) end as attained
    from attained
    group by unit_ix, basis
),

asked as (
    select
        moments.unit_ix,
        moments.basis,
        made_totals.good,
        made_totals.rework,
        scrap_totals.scrap,
        plan_totals.planned,
        plan_totals.attained,
        unnest(moments.quantities) as quantity,
        made_totals.unit_ix is not null as is_reported
    from moments
    left join made_totals
        on moments.unit_ix = made_totals.unit_ix and moments.basis = made_totals.basis
    left join scrap_totals
        on moments.unit_ix = scrap_totals.unit_ix and moments.basis = scrap_totals.basis
    left join plan_totals
        on moments.unit_ix = plan_totals.unit_ix and moments.basis = plan_totals.basis
),

amounts as (
    select
        *,
        case
            when quantity = 'planned pieces' then planned
            when not is_reported then null
            when quantity = 'attained pieces' then attained
            when quantity = 'good pieces' then good
            when quantity = 'scrap pieces' then scrap
            when quantity = 'rework pieces' then rework
            when quantity = 'first-time-right pieces' and rework <= good then good - rework
            when quantity = 'made pieces' then good + scrap
        end as amount
    from asked
    where quantity like '% pieces'
)

select
    unit_ix,
    basis,
    quantity,
    cast(amount as decimal(18, 6)) as amount,
    case
        when amount is not null then null
        when quantity in ('planned pieces', 'attained pieces') and planned is null
            then 'no frozen plan on record for that day'
        when not is_reported then 'no output on record by then'
        when quantity = 'attained pieces' then 'scrap is not reported by part'
        when quantity in ('scrap pieces', 'made pieces') then 'scrap is not reported'
        when quantity = 'first-time-right pieces' and rework > good
            then 'more rework than good pieces is reported'
        when quantity in ('rework pieces', 'first-time-right pieces') then 'rework is not reported'
        else 'good pieces are not reported'
    end as why_not
from amounts

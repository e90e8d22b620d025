/*---
about = "one row per area, production day and shift: whether anything was made in it"
criteria = []
sorted = ["area", "production_date", "shift"]
---
A shift produced if pieces were reported for it, or if a machine of its area is known to have run
in it. It did not if nothing was reported on a day within the reach of the area's output reports,
or if every machine of the area is known to have stood. Else nobody can tell, and it is null: a
shift without records is not a shift without production. `shift_ix` is null for a shift that only
output reports name.
*/
with reports as (
    select
        known_machines.area,
        outputs.production_date,
        outputs.shift,
        sum(coalesce(outputs.good, 0) + coalesce(outputs.scrap, 0)) as pieces
    from outputs
    inner join known_machines on outputs.machine_id = known_machines.machine_id
    where known_machines.area is not null
    group by known_machines.area, outputs.production_date, outputs.shift
),

reaches as (
    select
        area,
        min(production_date) as first_on,
        max(production_date) as last_on
    from reports
    group by area
),

shift_machines as (
    select
        shift_spans.shift_ix,
        shift_spans.start_at,
        shift_spans.end_at,
        known_machines.machine_ix
    from shift_spans
    inner join known_machines on shift_spans.area = known_machines.area
),

-- Spans of one state do not overlap: of those that began before a shift's end, the last reaches into
-- the shift if any does.
running as (
    select
        machine_ix,
        from_at,
        to_at
    from running_states
    where state = 'running'
),

standing as (
    select
        machine_ix,
        from_at,
        to_at
    from running_states
    where state = 'stopped'
),

ran as (
    select
        shift_machines.shift_ix,
        bool_or(running.to_at > shift_machines.start_at) as is_running
    from shift_machines
    asof inner join running
        on
            shift_machines.machine_ix = running.machine_ix
            and shift_machines.end_at > running.from_at
    group by shift_machines.shift_ix
),

stood as (
    select
        shift_machines.shift_ix,
        bool_and(coalesce(standing.to_at >= shift_machines.end_at, false)) as is_standing
    from shift_machines
    asof left join standing
        on
            shift_machines.machine_ix = standing.machine_ix
            and shift_machines.start_at >= standing.from_at
    group by shift_machines.shift_ix
),

named as (
    select
        shift_spans.shift_ix,
        shift_spans.overtime,
        reports.pieces,
        coalesce(shift_spans.area, reports.area) as area,
        coalesce(shift_spans.production_date, reports.production_date) as production_date,
        coalesce(shift_spans.shift, reports.shift) as shift
    from shift_spans
    full outer join reports
        on
            shift_spans.area = reports.area
            and shift_spans.production_date = reports.production_date
            and shift_spans.shift = reports.shift
)

select
    named.area,
    named.production_date,
    named.shift,
    named.shift_ix,
    named.overtime,
    named.pieces,
    case
        when named.pieces > 0 or ran.is_running then true
        when stood.is_standing then false
        when named.production_date between reaches.first_on and reaches.last_on then false
    end as produced
from named
left join ran on named.shift_ix = ran.shift_ix
left join stood on named.shift_ix = stood.shift_ix
left join reaches on named.area = reaches.area

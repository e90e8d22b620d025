/*---
about = "one row per change of shift and place that was short or vacant in the shift that came"
criteria = []
sorted = ["area", "change_at", "machine_id", "detail"]
---
Fewer operators are present in the shift than the area's rule asks for (the most generous of several
valid ones; no machine), or a planned operator's place has no actual allocation. Where the shift has
any actual allocations these are counted, else the planned ones, and then no place is vacant. A shift
without anybody on record is not looked at: nobody knows.
*/
with put as (
    select
        shift_changes.area,
        shift_changes.change_at,
        staffing_spans.machine_ix,
        staffing_spans.place,
        staffing_spans.person_key,
        staffing_spans.basis,
        staffing_spans.role,
        staffing_spans.from_at,
        staffing_spans.to_at,
        staffing_spans.is_present and not staffing_spans.is_void as counts,
        min(staffing_spans.basis) over (
            partition by shift_changes.area, shift_changes.change_at
        ) as deciding_basis
    from shift_changes
    inner join known_machines on shift_changes.area = known_machines.area
    inner join staffing_spans
        on
            known_machines.machine_ix = staffing_spans.machine_ix
            and shift_changes.change_at < staffing_spans.to_at
            and shift_changes.next_end_at > staffing_spans.from_at
),

short as (
    select
        put.area,
        put.change_at,
        count(distinct put.person_key) filter (
            where put.counts and put.role = 'operator' and put.basis = put.deciding_basis
        ) as n_present
    from put
    group by put.area, put.change_at
),

needed as (
    select
        short.area,
        short.change_at,
        short.n_present,
        min(staffing_rules.min_operators) as n_needed
    from short
    inner join staffing_rules
        on
            short.area = staffing_rules.area
            and local_date(short.change_at) >= staffing_rules.valid_from
            and local_date(short.change_at) <= coalesce(staffing_rules.valid_to, date '9999-12-31')
    group by short.area, short.change_at, short.n_present
),

recorded as (
    select *
    from put
    where basis = 'actual'
),

-- An actual allocation of any machine of the place fills it.
vacant as (
    select
        planned.area,
        planned.change_at,
        planned.place,
        max(machines.machine_id) as machine_id
    from put as planned
    left join known_machines as machines on planned.place = machines.machine_id
    left join recorded as filling
        on
            planned.area = filling.area
            and planned.change_at = filling.change_at
            and planned.machine_ix = filling.machine_ix
            and planned.from_at < filling.to_at
            and planned.to_at > filling.from_at
    where
        planned.basis = 'planned'
        and planned.role = 'operator'
        and planned.deciding_basis = 'actual'
    group by planned.area, planned.change_at, planned.place
    having count(filling.machine_ix) = 0
)

select
    area,
    change_at,
    null as machine_id,
    n_present || ' of ' || n_needed as detail
from needed
where n_present < n_needed
union all
select
    area,
    change_at,
    machine_id,
    place as detail
from vacant

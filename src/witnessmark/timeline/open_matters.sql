/*---
about = "one row per area, change of shift, kind and machine of a matter that was open then"
criteria = []
sorted = ["area", "change_at", "kind", "machine_id"]
---
What a handover should name, at each of the `shift_changes`.

`stop`: a stop that is not planned spans the change (where no stoppages are given: a state stopped
or maintenance). `check-overdue`: the machine runs, and more than the limit has passed since the
last completed check of a line. `hold`: placed in the outgoing shift and not disposed of; its machine
is the one named, else that of its lot or container. `setup-unreleased`: the machine's latest set-up
has no release yet, in a plant that records releases. `unattended`: the machine runs covered,
authorised or uncovered. `temporary-change`: in force. `challenge-failed`: in the outgoing shift, not
passed again since. `material-low`: the material in use ends within two hours. `staffing`: the shift
that comes has `vacant_places`.
*/
with at_machines as (
    select
        shift_changes.area,
        shift_changes.change_at,
        shift_changes.out_start_at,
        known_machines.machine_ix,
        known_machines.machine_id
    from shift_changes
    inner join known_machines on shift_changes.area = known_machines.area
),

clocked as (
    select
        at_machines.*,
        attendance_spans.class,
        attendance_spans.from_at as class_since,
        attendance_spans.to_at as class_until,
        clock_steps.running_rate = 1 as is_running,
        date_diff('second', clock_steps.from_at, at_machines.change_at) as ahead_s,
        clock_steps.running_s + clock_steps.running_rate * ahead_s as running_s
    from at_machines
    asof left join clock_steps
        on at_machines.machine_ix = clock_steps.machine_ix and at_machines.change_at >= clock_steps.from_at
    asof left join attendance_spans
        on
            at_machines.machine_ix = attendance_spans.machine_ix
            and at_machines.change_at >= attendance_spans.from_at
),

stops as (
    select
        machine_id,
        start_at,
        end_at,
        coalesce(reason, '') as detail
    from stoppages
    where not coalesce(planned, false)
    union all
    select
        states.machine_id,
        states.start_at,
        coalesce(
            states.end_at,
            lead(states.start_at) over (partition by states.machine_id order by states.start_at)
        ) as end_at,
        coalesce(states.reason, '') as detail
    from machine_states as states
    where not exists (select 1 from stoppages)
    qualify states.state in ('stopped', 'maintenance')
),

-- Only a gap that is too long as a whole can be too long at a change.
long_gaps as (
    select
        check_gaps.machine_ix,
        check_gaps.basis,
        check_gaps.from_at,
        check_gaps.to_at,
        check_gaps.limit_s,
        check_gaps.lines,
        clock_steps.running_s
        + clock_steps.running_rate * date_diff('second', clock_steps.from_at, check_gaps.from_at)
            as running_s
    from check_gaps
    asof inner join clock_steps
        on check_gaps.machine_ix = clock_steps.machine_ix and check_gaps.from_at >= clock_steps.from_at
    where check_gaps.wall_s > check_gaps.limit_s
),

lot_machines as (
    select
        holds.hold_id,
        coalesce(
            holds.machine_id,
            max(own.machine_id),
            arg_max(inside.machine_id, (inside.opened_at, inside.lot_no))
        ) as machine_id
    from holds
    left join lots as own on holds.lot_no = own.lot_no
    left join lots as inside
        on holds.container = inside.container and holds.placed_at >= inside.opened_at
    group by holds.hold_id, holds.machine_id
),

releases as (
    select setup_id
    from setups
    where released_at is not null
),

latest_setups as (
    select
        machine_id,
        start_at,
        max(setup_id) as setup_id,
        arg_max({ 'at': released_at }, setup_id).at as released_at
    from setups
    group by machine_id, start_at
),

set_up as (
    select
        clocked.area,
        clocked.change_at,
        clocked.machine_id,
        setups.start_at,
        setups.setup_id,
        setups.released_at
    from clocked
    asof inner join latest_setups as setups
        on clocked.machine_id = setups.machine_id and clocked.change_at > setups.start_at
    where exists (select 1 from releases)
),

challenges as (
    select
        check_runs.machine_ix,
        check_runs.done_at,
        check_runs.result,
        checks.check_id
    from check_runs
    inner join checks on check_runs.check_ix = checks.row_ix
    where check_runs.kind = 'challenge'
),

used as (
    select
        machine_id,
        lot_no,
        start_at,
        coalesce(
            end_at, lead(start_at) over (partition by machine_id order by start_at, lot_no)
        ) as end_at
    from material_uses
),

matters as (
    select
        clocked.area,
        clocked.change_at,
        'stop' as kind,
        clocked.machine_id,
        stops.start_at as since_at,
        stops.detail
    from clocked
    inner join stops
        on
            clocked.machine_id = stops.machine_id
            and clocked.change_at > stops.start_at
            and (clocked.change_at < stops.end_at or stops.end_at is null)
    union all
    select
        clocked.area,
        clocked.change_at,
        'check-overdue' as kind,
        clocked.machine_id,
        long_gaps.from_at as since_at,
        long_gaps.lines as detail
    from clocked
    inner join long_gaps
        on
            clocked.machine_ix = long_gaps.machine_ix
            and clocked.change_at > long_gaps.from_at
            and clocked.change_at < long_gaps.to_at
    where
        clocked.is_running
        and case
            when long_gaps.basis = 'running-time' then clocked.running_s - long_gaps.running_s
            else date_diff('second', long_gaps.from_at, clocked.change_at)
        end > long_gaps.limit_s
    union all
    select
        clocked.area,
        clocked.change_at,
        'hold' as kind,
        clocked.machine_id,
        holds.placed_at as since_at,
        holds.hold_id as detail
    from clocked
    inner join lot_machines on clocked.machine_id = lot_machines.machine_id
    inner join holds
        on
            lot_machines.hold_id = holds.hold_id
            and clocked.out_start_at <= holds.placed_at
            and clocked.change_at > holds.placed_at
            and (clocked.change_at < holds.disposed_at or holds.disposed_at is null)
    union all
    select
        area,
        change_at,
        'setup-unreleased' as kind,
        machine_id,
        start_at as since_at,
        setup_id as detail
    from set_up
    where released_at is null or released_at > change_at
    union all
    select
        area,
        change_at,
        'unattended' as kind,
        machine_id,
        class_since as since_at,
        class as detail
    from clocked
    where is_running and change_at < class_until and class in ('covered', 'authorised', 'uncovered')
    union all
    select
        clocked.area,
        clocked.change_at,
        'temporary-change' as kind,
        clocked.machine_id,
        temporary_changes.from_at as since_at,
        temporary_changes.control_replaced as detail
    from clocked
    inner join temporary_changes
        on
            clocked.machine_id = temporary_changes.machine_id
            and clocked.change_at >= temporary_changes.from_at
            and (clocked.change_at < temporary_changes.to_at or temporary_changes.to_at is null)
    union all
    select
        clocked.area,
        clocked.change_at,
        'challenge-failed' as kind,
        clocked.machine_id,
        challenges.done_at as since_at,
        challenges.check_id as detail
    from clocked
    inner join challenges
        on
            clocked.machine_ix = challenges.machine_ix
            and clocked.out_start_at <= challenges.done_at
            and clocked.change_at > challenges.done_at
    where
        challenges.result = 'fail'
        and not exists (
            select 1
            from challenges as later
            where
                challenges.machine_ix = later.machine_ix
                and later.result = 'pass'
                and challenges.done_at < later.done_at
                and clocked.change_at >= later.done_at
        )
    union all
    select
        clocked.area,
        clocked.change_at,
        'material-low' as kind,
        clocked.machine_id,
        used.start_at as since_at,
        used.lot_no as detail
    from clocked
    inner join used
        on
            clocked.machine_id = used.machine_id
            and clocked.change_at >= used.start_at
            and clocked.change_at < used.end_at
            and clocked.change_at >= used.end_at - interval 2 hours
    union all
    select
        area,
        change_at,
        'staffing' as kind,
        machine_id,
        change_at as since_at,
        detail
    from vacant_places
)

select
    area,
    change_at,
    kind,
    machine_id,
    min(since_at) as since_at,
    array_to_string(list_sort(list_distinct(list(detail))), ', ') as detail
from matters
group by area, change_at, kind, machine_id

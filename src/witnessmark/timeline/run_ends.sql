/*---
about = "one row per end of a merged run"
criteria = []
sorted = ["run_ix"]
---
A run that is still open when the data end has no end and no row.

The end is the last instant at which the machine ran inside the run, where the machine is known to
have stood from then to the booked end: so a run that stopped itself at 03:12 ends at 03:12. Where
its state before the booked end is not known, the booked end stands (`booked_end_at`).

`last_off` is the first last-off of the run: done no earlier than the clocks allow before the end,
naming the run, or of its machine and part with no later run of them ended yet by then.
`next_setup_at` is the first set-up that began on the machine from the end on, `next_run_at` the
start of its next merged run. `lots_moved_at` is when the first lot that was open at the end left:
was moved, went into another lot, or was shipped. `shift_end_at` belongs to the shift in which the
run ended; an end on the hour of the change belongs to the shift that goes. `attendance` is the
class in the second before the end.
*/
with clocked as (
    select
        merged_runs.*,
        runs.clock
    from merged_runs
    inner join runs on merged_runs.run_id = runs.run_id
),

following as (
    select
        *,
        lead(start_at) over (partition by machine_ix order by start_at, run_ix) as next_run_at
    from clocked
),

closed as (
    select *
    from following
    where not is_open or next_run_at is not null
),

last_states as (
    select
        closed.run_ix,
        max(running_states.to_at) filter (where running_states.state = 'running') as ran_until,
        max(running_states.to_at) filter (where running_states.state = 'unknown') as unknown_until
    from closed
    inner join running_states
        on
            closed.machine_ix = running_states.machine_ix
            and closed.start_at < running_states.to_at
            and closed.end_at > running_states.from_at
    group by closed.run_ix
),

ended as (
    select
        closed.run_ix,
        closed.run_id,
        closed.machine_ix,
        closed.machine_id,
        closed.part_no,
        closed.start_at,
        closed.end_at as booked_end_at,
        closed.end_kind,
        closed.next_run_at,
        closed.clock,
        closed.run_ids,
        known_machines.area,
        case
            when coalesce(last_states.unknown_until > last_states.ran_until, false) then closed.end_at
            when last_states.ran_until < closed.end_at then last_states.ran_until
            else closed.end_at
        end as end_at
    from closed
    inner join known_machines on closed.machine_ix = known_machines.machine_ix
    left join last_states on closed.run_ix = last_states.run_ix
),

offs as (
    select
        cast(checks.row_ix as integer) as check_ix,
        checks.machine_id,
        checks.part_no,
        runs.run_id,
        checks.done_at,
        checks.clock
    from checks
    left join runs on checks.run_id = runs.run_id
    where checks.kind = 'last-off' and checks.done_at is not null
),

-- Each last-off belongs to the run that it names, else to the last one ended by then.
off_runs as (
    select
        offs.check_ix,
        offs.done_at,
        arg_max(ended.run_ix, (ended.end_at, ended.run_ix)) as run_ix
    from offs
    inner join ended
        on
            offs.machine_id = ended.machine_id
            and offs.part_no = ended.part_no
            and (offs.run_id is null or list_contains(ended.run_ids, offs.run_id))
    where date_diff('second', offs.done_at, ended.end_at) <= tolerance_s(offs.clock, ended.clock)
    group by offs.check_ix, offs.done_at
),

last_offs as (
    select
        run_ix,
        arg_min(check_ix, (done_at, check_ix)) as check_ix,
        min(done_at) as done_at
    from off_runs
    group by run_ix
),

next_setups as (
    select
        ended.run_ix,
        min(setups.start_at) as start_at
    from ended
    inner join setups on ended.machine_id = setups.machine_id
    where
        setups.start_at > ended.start_at
        and date_diff('second', setups.start_at, ended.end_at) <= tolerance_s(setups.clock, ended.clock)
    group by ended.run_ix
),

departures as (
    select
        from_lot as lot_no,
        linked_at as left_at
    from lot_links
    union all
    select
        lot_no,
        shipped_at as left_at
    from shipment_lines
    union all
    select
        lot_no,
        moved_at as left_at
    from lots
),

moved as (
    select
        ended.run_ix,
        min(departures.left_at) as left_at
    from ended
    inner join lots on ended.machine_id = lots.machine_id and ended.part_no = lots.part_no
    inner join departures on lots.lot_no = departures.lot_no
    where
        date_diff('second', ended.end_at, lots.opened_at) <= 0
        and (
            lots.closed_at is null
            or date_diff('second', lots.closed_at, ended.end_at) <= tolerance_s(lots.clock, ended.clock)
        )
        and departures.left_at >= lots.opened_at
    group by ended.run_ix
),

asking as (
    select
        due_lines.run_ix,
        bool_or(list_contains(due_lines.check_kinds, 'last-off')) as lines_ask_last_off
    from due_lines
    inner join ended
        on
            due_lines.run_ix = ended.run_ix
            and due_lines.from_at <= ended.end_at
            and (due_lines.to_at > ended.end_at or due_lines.to_at = ended.booked_end_at)
    group by due_lines.run_ix
)

select
    ended.run_ix,
    ended.run_id,
    ended.machine_ix,
    ended.machine_id,
    ended.part_no,
    ended.end_at,
    ended.booked_end_at,
    ended.end_kind,
    last_offs.check_ix as last_off_check_ix,
    last_offs.done_at as last_off_at,
    next_setups.start_at as next_setup_at,
    ended.next_run_at,
    moved.left_at as lots_moved_at,
    case when ended.end_at <= shift_spans.end_at then shift_spans.end_at end as shift_end_at,
    case when ended.end_at <= shift_spans.end_at then shift_spans.shift_ix end as shift_ix,
    coalesce(asking.lines_ask_last_off, false) as lines_ask_last_off,
    case when ended.end_at <= attendance_spans.to_at then attendance_spans.class end as attendance
from ended
asof left join shift_spans
    on ended.area = shift_spans.area and ended.end_at > shift_spans.start_at
asof left join attendance_spans
    on ended.machine_ix = attendance_spans.machine_ix and ended.end_at > attendance_spans.from_at
left join last_offs on ended.run_ix = last_offs.run_ix
left join next_setups on ended.run_ix = next_setups.run_ix
left join moved on ended.run_ix = moved.run_ix
left join asking on ended.run_ix = asking.run_ix

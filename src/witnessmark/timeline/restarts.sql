/*---
about = "one row per restart of a machine inside a merged run that asks for a check"
criteria = ["restart_threshold_min", "jam_group_count", "jam_group_window_min"]
sorted = ["machine_ix", "restarted_at"]
---
Stops are those of `stoppages`; where that table is not given, the stretches in which the machine
stood. The restart is the first instant of running from the stop's end on; stops without running
between them have one restart and count as one stop.

A restart asks for a check after a stop of at least the threshold, or after one for a crash, power,
tool, adjustment or the weekend. Jams count in groups: so many within the window make one event,
which ends with the last of them; a longer series makes several. A stop equal to a planned break,
as far as clocks can tell, does not count; nor does a standstill in which part or tool changed: that
start is proved by its set-up.

The check is the first of the run, of any kind and complete, with pieces taken from the restart on.
Seconds are running and unknown seconds from the restart to the check, and to the run's end.
*/
with stood as (
    select
        known_machines.machine_ix,
        known_machines.machine_id,
        running_states.from_at,
        running_states.to_at
    from running_states
    inner join known_machines on running_states.machine_ix = known_machines.machine_ix
    where running_states.state = 'stopped' and not exists (select 1 from stoppages)
),

stops as (
    select
        stoppages.stop_id as stop_ref,
        known_machines.machine_ix,
        stoppages.start_at,
        stoppages.end_at,
        stoppages.reason,
        stoppages.clock
    from stoppages
    inner join known_machines on stoppages.machine_id = known_machines.machine_id
    where stoppages.start_at is not null and stoppages.end_at is not null
    union all
    select
        stood.machine_id || '/' || strftime(local_time(stood.from_at), '%Y-%m-%d %H:%M') as stop_ref,
        stood.machine_ix,
        stood.from_at as start_at,
        stood.to_at as end_at,
        arg_min(machine_states.reason, machine_states.start_at) as reason,
        arg_min({ 'clock': machine_states.clock }, machine_states.start_at).clock as clock
    from stood
    left join machine_states
        on
            stood.machine_id = machine_states.machine_id
            and stood.from_at <= machine_states.start_at
            and stood.to_at > machine_states.start_at
    group by stood.machine_id, stood.machine_ix, stood.from_at, stood.to_at
),

ran as (
    select
        machine_ix,
        from_at,
        to_at
    from running_states
    where state = 'running'
),

restarted as (
    select
        stops.*,
        coalesce(stops.reason in ('crash', 'power', 'tool', 'adjustment', 'weekend'), false) as is_listed,
        case when stops.end_at < ran.from_at then ran.from_at else stops.end_at end as restarted_at
    from stops
    asof inner join ran on stops.machine_ix = ran.machine_ix and stops.end_at < ran.to_at
),

jams as (
    select
        *,
        coalesce(
            date_diff(
                'second',
                start_at,
                lead(start_at, cast($jam_group_count - 1 as integer)) over by_time
            ) <= $jam_group_window_s,
            false
        ) as is_head,
        row_number() over by_time as jam_no
    from restarted
    where reason = 'jam'
    window by_time as (partition by machine_ix order by start_at, stop_ref)
),

in_groups as (
    select
        *,
        max(case when is_head then jam_no end) over (
            partition by machine_ix
            order by jam_no
            rows between unbounded preceding and current row
        ) as head_no
    from jams
),

grouped as (
    select
        *,
        jam_no - row_number() over (partition by machine_ix order by jam_no) as series_no
    from in_groups
    where jam_no - head_no < $jam_group_count
),

numbered as (
    select
        *,
        (row_number() over (partition by machine_ix, series_no order by jam_no) - 1)
        // cast($jam_group_count as integer) as group_no
    from grouped
),

jam_groups as (
    select
        machine_ix,
        arg_min(stop_ref, jam_no) as stop_ref,
        min(start_at) as stopped_at,
        max(restarted_at) as restarted_at,
        arg_min({ 'clock': clock }, jam_no).clock as clock
    from numbered
    group by machine_ix, series_no, group_no
    having count(*) = $jam_group_count
),

single as (
    select
        machine_ix,
        restarted_at,
        arg_min(stop_ref, (start_at, stop_ref)) as stop_ref,
        arg_min(reason, (not is_listed, start_at, stop_ref)) as reason,
        arg_min({ 'clock': clock }, (start_at, stop_ref)).clock as clock,
        min(start_at) as stopped_at
    from restarted
    group by machine_ix, restarted_at
    having bool_or(is_listed) or date_diff('second', min(start_at), restarted_at) >= $restart_threshold_s
),

unbroken as (
    select
        single.machine_ix,
        single.stop_ref,
        single.stopped_at,
        single.restarted_at,
        single.reason,
        single.clock
    from single
    inner join known_machines on single.machine_ix = known_machines.machine_ix
    where not exists (
        select 1
        from planned_breaks
        where
            known_machines.area = planned_breaks.area
            and abs(date_diff('second', single.stopped_at, planned_breaks.start_at))
            <= tolerance_s(single.clock, planned_breaks.clock)
            and abs(date_diff('second', single.restarted_at, planned_breaks.end_at))
            <= tolerance_s(single.clock, planned_breaks.clock)
    )
),

-- A long jam that ends a group is that group.
asking as (
    select
        *,
        true as is_jam_group,
        'jam' as reason
    from jam_groups
    union all by name
    select
        unbroken.*,
        false as is_jam_group
    from unbroken
    where
        not exists (
            select 1
            from jam_groups
            where
                unbroken.machine_ix = jam_groups.machine_ix
                and unbroken.restarted_at = jam_groups.restarted_at
        )
),

in_runs as (
    select
        asking.*,
        merged_runs.run_ix,
        merged_runs.machine_id,
        merged_runs.start_at as run_start_at,
        merged_runs.end_at as run_end_at,
        merged_runs.run_id
    from asking
    asof inner join merged_runs
        on asking.machine_ix = merged_runs.machine_ix and asking.restarted_at >= merged_runs.start_at
),

going_on as (
    select in_runs.*
    from in_runs
    left join starts on in_runs.run_ix = starts.run_ix and starts.kind in ('part', 'tool')
    left join runs on in_runs.run_id = runs.run_id
    where
        in_runs.restarted_at < in_runs.run_end_at
        and (
            starts.run_ix is null
            or date_diff('second', in_runs.run_start_at, in_runs.stopped_at)
            > tolerance_s(in_runs.clock, runs.clock)
        )
),

checks_in_runs as not materialized (
    select
        run_ix,
        check_ix,
        done_at,
        running_s,
        unknown_s,
        coalesce(taken_at, done_at) as taken_at
    from check_runs
    where
        run_ix in (select going_on.run_ix from going_on)
        and done_at is not null
        and coalesce(result, '') != 'incomplete'
),

-- The times are found first, among many; which checks they are of is asked of these few alone.
nearest as (
    select
        going_on.*,
        earlier.taken_at as earlier_taken_at,
        later.taken_at as later_taken_at
    from going_on
    asof left join checks_in_runs as earlier
        on going_on.run_ix = earlier.run_ix and going_on.restarted_at > earlier.taken_at
    asof left join checks_in_runs as later
        on going_on.run_ix = later.run_ix and going_on.restarted_at <= later.taken_at
),

moments as (
    select
        run_ix,
        earlier_taken_at as taken_at
    from nearest
    union
    select
        run_ix,
        later_taken_at as taken_at
    from nearest
),

-- Of several checks on pieces of the same minute the one made first counts.
made as (
    select
        checks_in_runs.run_ix,
        checks_in_runs.taken_at,
        min(checks_in_runs.done_at) as done_at,
        min(checks_in_runs.running_s) as running_s,
        min(checks_in_runs.unknown_s) as unknown_s,
        arg_min(checks_in_runs.check_ix, (checks_in_runs.done_at, checks_in_runs.check_ix)) as check_ix
    from checks_in_runs
    inner join moments
        on checks_in_runs.run_ix = moments.run_ix and checks_in_runs.taken_at = moments.taken_at
    group by checks_in_runs.run_ix, checks_in_runs.taken_at
),

-- A check just before the restart serves where the clocks leave open which came first.
framed as (
    select
        nearest.*,
        earlier.check_ix as earlier_ix,
        earlier.done_at as earlier_at,
        earlier.running_s as earlier_running_s,
        earlier.unknown_s as earlier_unknown_s,
        later.check_ix as later_ix,
        later.done_at as later_at,
        later.running_s as later_running_s,
        later.unknown_s as later_unknown_s,
        date_diff('second', nearest.earlier_taken_at, nearest.restarted_at) as earlier_by_s
    from nearest
    left join made as earlier
        on nearest.run_ix = earlier.run_ix and nearest.earlier_taken_at = earlier.taken_at
    left join made as later
        on nearest.run_ix = later.run_ix and nearest.later_taken_at = later.taken_at
),

weighed as (
    select
        framed.*,
        coalesce(framed.earlier_by_s <= tolerance_s(framed.clock, checks.clock), false) as is_earlier
    from framed
    left join checks on framed.earlier_ix = checks.row_ix
),

checked as (
    select
        machine_ix,
        machine_id,
        run_ix,
        run_end_at,
        stop_ref,
        stopped_at,
        restarted_at,
        reason,
        is_jam_group,
        case when is_earlier then earlier_ix else later_ix end as check_ix,
        case when is_earlier then earlier_at else later_at end as checked_at,
        case when is_earlier then earlier_running_s else later_running_s end as check_running_s,
        case when is_earlier then earlier_unknown_s else later_unknown_s end as check_unknown_s
    from weighed
),

clocked as (
    select
        checked.*,
        known_machines.area,
        date_diff('second', opening.from_at, checked.restarted_at) as opening_s,
        date_diff('second', closing.from_at, checked.run_end_at) as closing_s,
        opening.running_s + opening.running_rate * opening_s as start_running_s,
        opening.unknown_s + opening.unknown_rate * opening_s as start_unknown_s,
        closing.running_s + closing.running_rate * closing_s as end_running_s,
        closing.unknown_s + closing.unknown_rate * closing_s as end_unknown_s
    from checked
    inner join known_machines on checked.machine_ix = known_machines.machine_ix
    asof left join clock_steps as opening
        on checked.machine_ix = opening.machine_ix and checked.restarted_at >= opening.from_at
    asof left join clock_steps as closing
        on checked.machine_ix = closing.machine_ix and checked.run_end_at >= closing.from_at
)

select
    clocked.stop_ref,
    clocked.machine_ix,
    clocked.machine_id,
    clocked.run_ix,
    clocked.stopped_at,
    clocked.restarted_at,
    clocked.reason,
    clocked.is_jam_group,
    clocked.check_ix,
    clocked.checked_at,
    date_diff('second', clocked.stopped_at, clocked.restarted_at) as stop_s,
    case
        when clocked.check_running_s < clocked.start_running_s then 0
        else clocked.check_running_s - clocked.start_running_s
    end as running_s,
    case
        when clocked.check_unknown_s < clocked.start_unknown_s then 0
        else clocked.check_unknown_s - clocked.start_unknown_s
    end as unknown_s,
    clocked.end_running_s - clocked.start_running_s as running_s_to_run_end,
    clocked.end_unknown_s - clocked.start_unknown_s as unknown_s_to_run_end,
    case
        when clocked.restarted_at < attendance_spans.to_at then attendance_spans.class
    end as attendance,
    case when clocked.restarted_at < shift_spans.end_at then shift_spans.shift_ix end as shift_ix
from clocked
asof left join attendance_spans
    on
        clocked.machine_ix = attendance_spans.machine_ix
        and clocked.restarted_at >= attendance_spans.from_at
asof left join shift_spans
    on clocked.area = shift_spans.area and clocked.restarted_at >= shift_spans.start_at

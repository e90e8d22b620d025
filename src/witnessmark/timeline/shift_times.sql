/*---
about = "one row per machine and shift of its area, with the seconds that the records account for"
criteria = []
sorted = ["machine_ix", "shift_ix"]
---
For shifts that touch the period; `is_cut` where they reach beyond it. Running and unknown seconds,
pieces and attendance are read from the running clock. Explained, stopped and uncoded seconds are
added up from the rows as written, so that a time that stands twice counts twice.

`explained_s`: states other than unknown; without states of the machine, time inside its runs and
stoppages. `stopped_s`: stoppages; without stoppages of the machine, states stopped. `uncoded_s`: of
these, those without a reason; a planned stop needs none. `is_recorded`: a state, run or stoppage of
the machine is on record at some time. `attendance` is the class of at least two thirds of the
running seconds, else mixed, null where nothing ran.
*/
with units as (
    select
        known_machines.machine_ix,
        known_machines.machine_id,
        shift_spans.shift_ix,
        shift_spans.start_at,
        shift_spans.end_at,
        shift_spans.length_s,
        shift_spans.start_at < period.starts_at or shift_spans.end_at > period.ends_at as is_cut
    from shift_spans
    inner join known_machines on shift_spans.area = known_machines.area
    cross join period
    where shift_spans.start_at < period.ends_at and shift_spans.end_at > period.starts_at
),

state_rows as (
    select
        machine_states.machine_id,
        machine_states.state,
        machine_states.reason,
        machine_states.start_at,
        coalesce(
            machine_states.end_at,
            lead(machine_states.start_at) over (
                partition by machine_states.machine_id
                order by machine_states.start_at, machine_states.end_at, machine_states.state
            ),
            period.ends_at
        ) as end_at
    from machine_states
    cross join period
    where machine_states.start_at is not null
),

written as (
    select
        machine_id,
        start_at,
        end_at,
        state != 'unknown' as is_explained,
        state = 'stopped'
        and machine_id not in (select stoppages.machine_id from stoppages) as is_stop,
        reason is null as is_uncoded
    from state_rows
    union all
    select
        stoppages.machine_id,
        stoppages.start_at,
        coalesce(stoppages.end_at, period.ends_at) as end_at,
        false as is_explained,
        true as is_stop,
        stoppages.reason is null and not coalesce(stoppages.planned, false) as is_uncoded
    from stoppages
    cross join period
    where stoppages.start_at is not null
    union all
    select
        known_machines.machine_id,
        running_states.from_at as start_at,
        running_states.to_at as end_at,
        running_states.state != 'unknown' as is_explained,
        false as is_stop,
        false as is_uncoded
    from running_states
    inner join known_machines on running_states.machine_ix = known_machines.machine_ix
    where known_machines.machine_id not in (select state_rows.machine_id from state_rows)
),

events as (
    select
        machine_id,
        unnest([start_at, end_at]) as event_at,
        unnest([1, -1]) * cast(is_explained as integer) as explained,
        unnest([1, -1]) * cast(is_stop as integer) as stopped,
        unnest([1, -1]) * cast(is_stop and is_uncoded as integer) as uncoded
    from written
    where start_at < end_at
    union all
    select
        machine_id,
        unnest([start_at, end_at]) as event_at,
        0 as explained,
        0 as stopped,
        0 as uncoded
    from units
),

moments as (
    select
        machine_id,
        event_at,
        sum(explained) as explained,
        sum(stopped) as stopped,
        sum(uncoded) as uncoded
    from events
    group by machine_id, event_at
),

cells as (
    select
        machine_id,
        event_at as from_at,
        date_diff('second', event_at, lead(event_at) over in_time) as wall_s,
        sum(explained) over in_time as explained,
        sum(stopped) over in_time as stopped,
        sum(uncoded) over in_time as uncoded
    from moments
    window in_time as (partition by machine_id order by event_at)
),

summed as (
    select
        units.machine_ix,
        units.shift_ix,
        cast(sum(cells.explained * cells.wall_s) as bigint) as explained_s,
        cast(sum(cells.stopped * cells.wall_s) as bigint) as stopped_s,
        cast(sum(cells.uncoded * cells.wall_s) as bigint) as uncoded_s
    from cells
    asof inner join units
        on cells.machine_id = units.machine_id and cells.from_at >= units.start_at
    where cells.from_at < units.end_at
    group by units.machine_ix, units.shift_ix
),

ends as (
    select
        machine_ix,
        shift_ix,
        unnest([start_at, end_at]) as read_at,
        unnest([-1, 1]) as sign
    from units
),

-- What the clock shows at both ends: `since_s` seconds into the step that holds then.
clocked as (
    select
        ends.machine_ix,
        ends.shift_ix,
        ends.sign,
        steps.pieces,
        steps.step_s,
        steps.step_pieces,
        steps.uncounted_steps,
        steps.running_s,
        steps.running_rate,
        steps.unknown_s,
        steps.unknown_rate,
        steps.attended_s,
        steps.attended_rate,
        steps.covered_s,
        steps.covered_rate,
        steps.authorised_s,
        steps.authorised_rate,
        steps.uncovered_s,
        steps.uncovered_rate,
        date_diff('second', steps.from_at, ends.read_at) as since_s
    from ends
    asof inner join clock_steps as steps
        on ends.machine_ix = steps.machine_ix and ends.read_at >= steps.from_at
),

passed as (
    select
        machine_ix,
        shift_ix,
        case
            when min(uncounted_steps) = max(uncounted_steps)
                then sum(sign * (pieces + (2 * step_pieces * since_s + step_s) // (2 * step_s)))
        end as pieces,
        sum(sign * (running_s + running_rate * since_s)) as running_s,
        sum(sign * (unknown_s + unknown_rate * since_s)) as unknown_s,
        sum(sign * (attended_s + attended_rate * since_s)) as attended_s,
        sum(sign * (covered_s + covered_rate * since_s)) as covered_s,
        sum(sign * (authorised_s + authorised_rate * since_s)) as authorised_s,
        sum(sign * (uncovered_s + uncovered_rate * since_s)) as uncovered_s
    from clocked
    group by machine_ix, shift_ix
)

select
    units.machine_ix,
    units.shift_ix,
    units.is_cut,
    units.length_s,
    summed.explained_s,
    summed.stopped_s,
    summed.uncoded_s,
    cast(passed.running_s as bigint) as running_s,
    cast(passed.unknown_s as bigint) as unknown_s,
    cast(passed.pieces as bigint) as pieces,
    units.machine_id in (
        select machine_states.machine_id from machine_states
        union all
        select runs.machine_id from runs
        union all
        select stoppages.machine_id from stoppages
    ) as is_recorded,
    case
        when passed.running_s = 0 then null
        when 3 * passed.attended_s >= 2 * passed.running_s then 'attended'
        when 3 * passed.covered_s >= 2 * passed.running_s then 'covered'
        when 3 * passed.authorised_s >= 2 * passed.running_s then 'authorised'
        when 3 * passed.uncovered_s >= 2 * passed.running_s then 'uncovered'
        when
            3 * (passed.attended_s + passed.covered_s + passed.authorised_s + passed.uncovered_s)
            <= passed.running_s then 'not-assessable'
        else 'mixed'
    end as attendance
from units
inner join summed on units.machine_ix = summed.machine_ix and units.shift_ix = summed.shift_ix
inner join passed on units.machine_ix = passed.machine_ix and units.shift_ix = passed.shift_ix

/*---
about = "one row per machine and stretch in which nothing changes: no state, stop, run or reading"
criteria = []
sorted = ["machine_ix", "from_at"]
---
The states of a machine swept in the order of time, each stretch with the pieces that were made in
it. `running_states` and `running_clock` read this.

State. With states on record these decide, the later start where two overlap; time between them is
unknown. Without, a machine runs inside a run and outside a stoppage, and time outside both is
unknown. A machine that seems to run between two readings of its counter without a piece more is
dry cycling: stopped.

Pieces. From the counter where there is one: the pieces between two readings are spread over the
running seconds between them, over all seconds where none ran, rounded on the running total so that
no piece is lost. Without a counter the same is done with the pieces reported for each run. Null is
unknown, never zero: a run without reported pieces, or running time outside all readings.
*/
with state_rows as (
    select
        known_machines.machine_ix,
        states.start_at,
        states.end_at,
        states.state,
        lead(states.start_at) over (
            partition by known_machines.machine_ix
            order by states.start_at, states.end_at, states.state
        ) as next_at
    from machine_states as states
    inner join known_machines on states.machine_id = known_machines.machine_id
    where states.start_at is not null
),

count_rows as (
    select
        known_machines.machine_ix,
        counts.counted_at,
        counts.cumulative,
        coalesce(counts.reset, false) as is_reset,
        lag(counts.cumulative) over (
            partition by known_machines.machine_ix order by counts.counted_at
        ) as last_cumulative
    from piece_counts as counts
    inner join known_machines on counts.machine_id = known_machines.machine_id
    where counts.counted_at is not null and counts.cumulative is not null
),

-- What was counted from the reading before to this one; null at a machine's first reading.
readings as (
    select
        machine_ix,
        counted_at,
        case
            when last_cumulative is null then null
            when is_reset or cumulative < last_cumulative then cumulative
            else cumulative - last_cumulative
        end as pieces
    from count_rows
),

spans as (
    select
        state_rows.machine_ix,
        case
            when state_rows.state = 'running' then 'running'
            when state_rows.state = 'unknown' then 'unknown'
            else 'stopped'
        end as what,
        state_rows.start_at as from_at,
        case
            when state_rows.next_at is null then coalesce(state_rows.end_at, period.ends_at)
            when state_rows.end_at < state_rows.next_at then state_rows.end_at
            else state_rows.next_at
        end as to_at,
        1 as step
    from state_rows
    cross join period
    union all
    select
        machine_ix,
        'run' as what,
        start_at as from_at,
        end_at as to_at,
        1 as step
    from run_spans
    union all
    select
        known_machines.machine_ix,
        'stoppage' as what,
        stoppages.start_at as from_at,
        coalesce(stoppages.end_at, period.ends_at) as to_at,
        1 as step
    from stoppages
    inner join known_machines on stoppages.machine_id = known_machines.machine_id
    cross join period
    where stoppages.start_at is not null
    union all
    select
        machine_ix,
        'pieces' as what,
        lag(counted_at) over (partition by machine_ix order by counted_at) as from_at,
        counted_at as to_at,
        pieces as step
    from readings
    union all
    select
        machine_ix,
        'counter' as what,
        min(counted_at) as from_at,
        max(counted_at) as to_at,
        1 as step
    from readings
    group by machine_ix
),

-- What begins (+) and ends (-) at an instant; the sums below say what holds from there on.
events as (
    select
        machine_ix,
        what,
        from_at as event_at,
        step
    from spans
    where from_at < to_at
    union all
    select
        machine_ix,
        what,
        to_at as event_at,
        -step as step
    from spans
    where from_at < to_at
    union all
    select
        machine_ix,
        'reading' as what,
        counted_at as event_at,
        1 as step
    from readings
    union all
    select
        known_machines.machine_ix,
        'period' as what,
        unnest([period.starts_at, period.ends_at]) as event_at,
        0 as step
    from known_machines
    cross join period
),

moments as (
    select
        machine_ix,
        event_at,
        coalesce(sum(step) filter (where what = 'running'), 0) as running,
        coalesce(sum(step) filter (where what = 'stopped'), 0) as stopped,
        coalesce(sum(step) filter (where what = 'run'), 0) as runs,
        coalesce(sum(step) filter (where what = 'stoppage'), 0) as stoppages,
        coalesce(sum(step) filter (where what = 'counter'), 0) as counters,
        coalesce(sum(step) filter (where what = 'pieces'), 0) as pieces,
        coalesce(sum(step) filter (where what = 'reading'), 0) as readings
    from events
    where event_at is not null
    group by machine_ix, event_at
),

swept as (
    select
        machine_ix,
        event_at as from_at,
        cast(sum(pieces) over in_time as bigint) as counted,
        cast(sum(readings) over in_time as bigint) as reading_no,
        lead(event_at) over in_time as to_at,
        sum(running) over in_time as running,
        sum(stopped) over in_time as stopped,
        sum(runs) over in_time as runs,
        sum(stoppages) over in_time as stoppages,
        sum(counters) over in_time > 0 as is_counted
    from moments
    window in_time as (partition by machine_ix order by event_at)
),

sources as (
    select
        known_machines.machine_ix,
        known_machines.machine_id in (
            select machine_states.machine_id from machine_states
        ) as has_states,
        known_machines.machine_ix in (select readings.machine_ix from readings) as has_counter,
        known_machines.machine_ix in (
            select run_spans.machine_ix
            from run_spans
            where run_spans.pieces is not null
        ) as has_reports
    from known_machines
),

stated as (
    select
        swept.machine_ix,
        swept.from_at,
        swept.to_at,
        swept.is_counted,
        swept.counted,
        swept.reading_no,
        sources.has_counter,
        sources.has_reports,
        date_diff('second', swept.from_at, swept.to_at) as wall_s,
        case
            when sources.has_states and swept.running > 0 then 'running'
            when sources.has_states and swept.stopped > 0 then 'stopped'
            when sources.has_states then 'unknown'
            when swept.stoppages > 0 then 'stopped'
            when swept.runs > 0 then 'running'
            else 'unknown'
        end as state
    from swept
    inner join sources on swept.machine_ix = sources.machine_ix
    where swept.to_at is not null
),

cells as (
    select
        * replace (
            case
                when state = 'running' and is_counted and counted = 0 then 'stopped' else state
            end as state
        )
    from stated
),

-- Each stretch between two readings, and each run of a machine without a counter, is a pot of
-- pieces; a cell takes of it by its seconds.
pots as (
    select
        machine_ix,
        from_at,
        wall_s,
        state,
        cast(reading_no as varchar) as pot,
        counted as pieces
    from cells
    where is_counted
    union all
    select
        cells.machine_ix,
        cells.from_at,
        cells.wall_s,
        cells.state,
        run_spans.run_id as pot,
        run_spans.pieces
    from cells
    inner join run_spans
        on
            cells.machine_ix = run_spans.machine_ix
            and cells.from_at >= run_spans.start_at
            and cells.from_at < run_spans.end_at
    where not cells.has_counter
),

weighted as (
    select
        *,
        case
            when state = 'running' then wall_s
            when bool_or(state = 'running') over (partition by machine_ix, pot) then 0
            else wall_s
        end as weight
    from pots
),

drawn as (
    select
        machine_ix,
        from_at,
        pieces,
        cast(sum(weight) over (partition by machine_ix, pot order by from_at) as bigint) as drawn_s,
        weight,
        cast(sum(weight) over (partition by machine_ix, pot) as bigint) as whole
    from weighted
),

shares as (
    select
        machine_ix,
        from_at,
        case
            when count(pieces) = count(*) then cast(
                sum(
                    (2 * pieces * drawn_s + whole) // (2 * whole)
                    - (2 * pieces * (drawn_s - weight) + whole) // (2 * whole)
                ) as bigint
            )
        end as pieces
    from drawn
    group by machine_ix, from_at
),

filled as (
    select
        cells.machine_ix,
        cells.from_at,
        cells.to_at,
        cells.state,
        case
            when shares.machine_ix is not null then shares.pieces
            when cells.has_counter and cells.state = 'stopped' then 0
            when not cells.has_counter and cells.has_reports then 0
        end as pieces
    from cells
    left join shares on cells.machine_ix = shares.machine_ix and cells.from_at = shares.from_at
)

select filled.*
from filled
inner join period on filled.from_at >= period.starts_at and filled.to_at <= period.ends_at

/*---
about = "one row per check that a plan line asks for by quantity, by event or by shift"
criteria = []
sorted = ["run_ix", "line_ix", "due"]
---
Windows in which such a check falls: by the clock from `from_at` to `to_at`, the run's end included;
by pieces from `from_pieces` to `to_pieces` on the machine's counter. The first window by pieces
opens at n pieces of the run; one that the run's end leaves open is marked `is_open`. An event's
window lasts to the next event of the kind. Starts of a material lot are events only on machines
without a recorded material change. A shift asks for a check from an hour of running on; `doubt`
says what is not known. A run without counted pieces has one window per line, to say so.
*/
with

lines as (
    select
        due_lines.*,
        merged_runs.run_id,
        merged_runs.machine_id,
        merged_runs.machine_ix,
        merged_runs.start_at,
        merged_runs.end_at
    from due_lines
    inner join merged_runs on due_lines.run_ix = merged_runs.run_ix
    where due_lines.basis in ('pieces', 'event', 'shift') and due_lines.from_at < due_lines.to_at
),

shifts as (
    select
        lines.run_ix,
        lines.line_ix,
        shift_spans.shift_ref as due,
        case when lines.from_at > shift_spans.start_at then lines.from_at else shift_spans.start_at end
            as from_at,
        case when lines.to_at < shift_spans.end_at then lines.to_at else shift_spans.end_at end as to_at
    from lines
    inner join known_machines on lines.machine_ix = known_machines.machine_ix
    inner join shift_spans
        on
            known_machines.area = shift_spans.area
            and lines.from_at < shift_spans.end_at
            and lines.to_at > shift_spans.start_at
    where lines.basis = 'shift'
),

moments as (
    select
        machine_ix,
        start_at as moment
    from lines
    union
    select
        machine_ix,
        from_at as moment
    from lines
    union
    select
        machine_ix,
        to_at as moment
    from lines
    union
    select
        lines.machine_ix,
        unnest([shifts.from_at, shifts.to_at]) as moment
    from shifts inner join lines using (run_ix, line_ix)
),

clocked as (
    select
        moments.machine_ix,
        moments.moment,
        clock_steps.uncounted_steps,
        clock_steps.running_s
        + clock_steps.running_rate * date_diff('second', clock_steps.from_at, moments.moment) as running_s,
        clock_steps.unknown_s
        + clock_steps.unknown_rate * date_diff('second', clock_steps.from_at, moments.moment) as unknown_s,
        clock_steps.pieces
        + clock_steps.step_pieces
        * date_diff('second', clock_steps.from_at, moments.moment) // clock_steps.step_s as pieces
    from moments
    asof inner join clock_steps
        on moments.machine_ix = clock_steps.machine_ix and moments.moment >= clock_steps.from_at
),

counted as (
    select
        lines.run_ix,
        lines.line_ix,
        lines.every_n,
        opening.pieces as pieces_at_start,
        case
            when opening.uncounted_steps = closing.uncounted_steps
                then closing.pieces - opening.pieces
        end as made,
        valid.pieces - opening.pieces as made_before
    from lines
    inner join clocked as opening
        on lines.machine_ix = opening.machine_ix and lines.start_at = opening.moment
    inner join clocked as valid
        on lines.machine_ix = valid.machine_ix and lines.from_at = valid.moment
    inner join clocked as closing
        on lines.machine_ix = closing.machine_ix and lines.to_at = closing.moment
    where lines.basis = 'pieces' and lines.every_n > 0
),

by_pieces as (
    select
        counted.*,
        unnest(generate_series(
            coalesce(made_before, 0) // every_n + 1,
            coalesce(made // every_n, 1)
        )) as k
    from counted
),

events as (
    select
        machine_id,
        kind,
        happened_at,
        event_id as due
    from process_events
    union all
    select
        machine_id,
        'material-change' as kind,
        start_at as happened_at,
        'lot-' || lot_no as due
    from material_uses
    where machine_id not in (
        select process_events.machine_id from process_events
        where process_events.kind = 'material-change'
    )
),

by_event as (
    select
        lines.run_ix,
        lines.line_ix,
        events.due,
        events.happened_at as from_at,
        coalesce(
            lead(events.happened_at) over (
                partition by lines.run_ix, lines.line_ix order by events.happened_at, events.due
            ),
            lines.to_at
        ) as to_at
    from lines
    inner join events
        on
            lines.machine_id = events.machine_id
            and lines.event = events.kind
            and lines.from_at <= events.happened_at
            and lines.to_at > events.happened_at
    where lines.basis = 'event'
),

worked as (
    select
        shifts.*,
        closing.running_s - opening.running_s as running_s,
        closing.unknown_s - opening.unknown_s as unknown_s
    from shifts
    inner join lines using (run_ix, line_ix)
    inner join clocked as opening
        on lines.machine_ix = opening.machine_ix and shifts.from_at = opening.moment
    inner join clocked as closing
        on lines.machine_ix = closing.machine_ix and shifts.to_at = closing.moment
),

windows as (
    select
        run_ix,
        line_ix,
        due,
        from_at,
        to_at,
        null as from_pieces,
        null as to_pieces,
        false as is_open,
        null as doubt
    from by_event
    union all
    select
        run_ix,
        line_ix,
        due,
        from_at,
        to_at,
        null as from_pieces,
        null as to_pieces,
        false as is_open,
        case when running_s < 3600 then 'state unknown' end as doubt
    from worked
    where running_s + unknown_s >= 3600
    union all
    select
        run_ix,
        line_ix,
        k * every_n || '-pieces' as due,
        null as from_at,
        null as to_at,
        pieces_at_start + k * every_n as from_pieces,
        pieces_at_start + (k + 1) * every_n as to_pieces,
        (k + 1) * every_n > made as is_open,
        case when made is null then 'pieces not counted' end as doubt
    from by_pieces
)

select
    windows.*,
    lines.plan_line_ix,
    lines.machine_ix,
    lines.basis,
    coalesce(windows.from_at, lines.start_at) as opens_at,
    coalesce(windows.to_at, lines.end_at) as closes_at,
    windows.to_at = lines.to_at as ends_with_run
from windows
inner join lines using (run_ix, line_ix)

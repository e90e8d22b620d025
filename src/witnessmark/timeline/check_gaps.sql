/*---
about = "one row per merged run and stretch between consecutive completed checks of a plan line"
criteria = []
key = ["run_ix", "from_at", "to_at", "basis"]
sorted = ["run_ix", "from_at", "to_at", "basis"]
---
For plan lines that are due by running time or by the clock. The gaps of a line tile its run from
the release (without one on record, or before the start: from the run's start) to the run's end; a
check before or after that ends no gap. Where a line begins or ends to be valid inside the run, it
is tiled for that time. A new version of a line restarts nothing: of the limits valid in a gap the
most generous serves. Lines with the same gap make one row under the strictest limit.

Seconds are read from the running clock at both ends. `attendance` is the class of at least two
thirds of the running seconds, else mixed, null where nothing ran. `shift_ix` is the shift in which
the gap ends; an end on the hour of the change belongs to the shift that goes. `time_missing` says
that the run has a completed check of one of these lines without a time, so that the gap may be
shorter than it looks.
*/
with untimed as (
    select distinct
        run_ix,
        plan_line_ix
    from placed_checks
    where completed and done_at is null
),

rounds as (
    select
        check_chains.round_ix,
        check_chains.run_ix,
        check_chains.machine_ix,
        check_chains.basis,
        check_chains.from_at,
        check_chains.to_at,
        check_chains.from_kind,
        max(check_chains.n_versions) as n_versions,
        min(check_chains.limit_s) as limit_s,
        bool_or(untimed.run_ix is not null) as time_missing,
        list_sort(list(check_chains.line_ix)) as line_ixs
    from check_chains
    left join untimed
        on check_chains.run_ix = untimed.run_ix and check_chains.plan_line_ix = untimed.plan_line_ix
    where
        check_chains.from_at < check_chains.to_at
        and check_chains.run_ix between $from_run_ix and $to_run_ix
    group by all
),

-- Ends of runs and of validity are read off the clock here; they get negative numbers, so that
-- they and the checks, which were read off already, can be looked up alike.
ends as (
    select
        run_ix,
        machine_ix,
        from_at as end_at
    from rounds
    union
    select
        run_ix,
        machine_ix,
        to_at as end_at
    from rounds
),

numbered_ends as (
    select
        *,
        -cast(row_number() over (order by run_ix, end_at) as integer) as point_ix
    from ends
),

readings as (
    select
        numbered_ends.point_ix,
        steps.uncounted_steps,
        date_diff('second', steps.from_at, numbered_ends.end_at) as elapsed_s,
        steps.running_s + steps.running_rate * elapsed_s as running_s,
        steps.unknown_s + steps.unknown_rate * elapsed_s as unknown_s,
        steps.attended_s + steps.attended_rate * elapsed_s as attended_s,
        steps.covered_s + steps.covered_rate * elapsed_s as covered_s,
        steps.authorised_s + steps.authorised_rate * elapsed_s as authorised_s,
        steps.uncovered_s + steps.uncovered_rate * elapsed_s as uncovered_s,
        steps.not_assessable_s + steps.not_assessable_rate * elapsed_s as not_assessable_s,
        steps.pieces + steps.step_pieces * elapsed_s // steps.step_s as pieces
    from numbered_ends
    asof left join clock_steps as steps
        on numbered_ends.machine_ix = steps.machine_ix and numbered_ends.end_at >= steps.from_at
    union all
    select
        check_ix as point_ix,
        uncounted_steps,
        null as elapsed_s,
        running_s,
        unknown_s,
        attended_s,
        covered_s,
        authorised_s,
        uncovered_s,
        not_assessable_s,
        pieces
    from check_runs
    where run_ix between $from_run_ix and $to_run_ix
),

-- Kinds by rank: where points coincide the check is named before the release, that before the start.
points as (
    select
        rounds.round_ix,
        rounds.from_at as point_at,
        numbered_ends.point_ix,
        0 as step,
        case when rounds.from_kind = 'release' then 2 else 3 end as kind_no
    from rounds
    inner join numbered_ends
        on rounds.run_ix = numbered_ends.run_ix and rounds.from_at = numbered_ends.end_at
    union all
    select
        check_chains.round_ix,
        placed_checks.done_at as point_at,
        min(placed_checks.check_ix) as point_ix,
        1 as step,
        1 as kind_no
    from placed_checks
    inner join check_chains
        on
            check_chains.chain_ix = check_chains.round_ix
            and placed_checks.run_ix = check_chains.run_ix
            and placed_checks.plan_line_ix = check_chains.plan_line_ix
            and placed_checks.done_at > check_chains.from_at
            and placed_checks.done_at <= check_chains.to_at
    where placed_checks.completed and placed_checks.run_ix between $from_run_ix and $to_run_ix
    group by check_chains.round_ix, placed_checks.done_at
    union all
    select
        rounds.round_ix,
        rounds.to_at as point_at,
        numbered_ends.point_ix,
        2 as step,
        4 as kind_no
    from rounds
    inner join numbered_ends on rounds.run_ix = numbered_ends.run_ix and rounds.to_at = numbered_ends.end_at
),

steps as (
    select
        round_ix,
        point_at as to_at,
        point_ix as to_ix,
        kind_no as to_no,
        lag(point_at) over by_time as from_at,
        lag(point_ix) over by_time as from_ix,
        lag(kind_no) over by_time as from_no
    from points
    window by_time as (partition by round_ix order by point_at, step)
),

-- Of a line with several versions: the one at the gap's end, and the most generous limit.
changed as (
    select
        steps.round_ix,
        steps.from_at,
        max(due_lines.interval_s + due_lines.grace_s) as limit_s,
        arg_max(due_lines.line_ix, due_lines.from_at) as line_ix
    from steps
    inner join check_chains on steps.round_ix = check_chains.chain_ix
    inner join due_lines
        on
            check_chains.run_ix = due_lines.run_ix
            and check_chains.plan_line_ix = due_lines.plan_line_ix
            and check_chains.basis = due_lines.basis
            and steps.from_at < due_lines.to_at
            and steps.to_at > due_lines.from_at
    where check_chains.n_versions > 1 and steps.from_at < steps.to_at
    group by steps.round_ix, steps.from_at
),

-- Sets of lines by number, so that the many gaps carry an integer.
line_sets as (
    select
        line_ixs,
        cast(row_number() over (order by line_ixs) as integer) as set_ix
    from (
        select line_ixs from rounds
        union
        select [changed.line_ix] as line_ixs from changed
    ) as sets
),

parts as (
    select
        rounds.run_ix,
        rounds.basis,
        rounds.time_missing,
        steps.from_at,
        steps.to_at,
        steps.from_no,
        steps.to_no,
        steps.from_ix,
        steps.to_ix,
        coalesce(changed.limit_s, rounds.limit_s) as limit_s,
        coalesce(changed_sets.set_ix, round_sets.set_ix) as set_ix
    from steps
    inner join rounds on steps.round_ix = rounds.round_ix
    inner join line_sets as round_sets on rounds.line_ixs = round_sets.line_ixs
    left join changed on steps.round_ix = changed.round_ix and steps.from_at = changed.from_at
    left join line_sets as changed_sets on [changed.line_ix] = changed_sets.line_ixs
    where steps.from_at < steps.to_at
),

gaps as (
    select
        run_ix,
        basis,
        from_at,
        to_at,
        min(from_no) as from_no,
        min(to_no) as to_no,
        max(from_ix) as from_ix,
        max(to_ix) as to_ix,
        min(limit_s) as limit_s,
        bool_or(time_missing) as time_missing,
        min(set_ix) as set_ix,
        max(set_ix) as other_set_ix
    from parts
    group by run_ix, basis, from_at, to_at
),

-- The few gaps that lines of several sets have in common.
shared_gaps as (
    select
        run_ix,
        basis,
        from_at,
        to_at
    from gaps
    where set_ix <> other_set_ix
),

shared as (
    select
        parts.run_ix,
        parts.basis,
        parts.from_at,
        parts.to_at,
        list_sort(flatten(list(line_sets.line_ixs))) as line_ixs
    from parts
    inner join shared_gaps using (run_ix, basis, from_at, to_at)
    inner join line_sets on parts.set_ix = line_sets.set_ix
    group by parts.run_ix, parts.basis, parts.from_at, parts.to_at
),

all_sets as (
    select line_ixs from line_sets
    union
    select line_ixs from shared
),

named as (
    select
        listed.line_ixs,
        array_to_string(
            list_sort(list_distinct(list(control_plan_lines.line))), ','
        ) as lines
    from (
        select
            line_ixs,
            unnest(line_ixs) as line_ix
        from all_sets
    ) as listed
    inner join control_plan_lines on listed.line_ix = control_plan_lines.row_ix
    group by listed.line_ixs
),

set_names as (
    select
        line_sets.set_ix,
        line_sets.line_ixs,
        named.lines
    from line_sets
    inner join named on line_sets.line_ixs = named.line_ixs
),

shared_names as (
    select
        shared.*,
        named.lines
    from shared
    inner join named on shared.line_ixs = named.line_ixs
),

areas as (
    select
        machine_ix,
        area,
        dense_rank() over (order by area) as area_ix
    from known_machines
),

area_numbers as (
    select distinct
        area,
        area_ix
    from areas
),

-- Each shift until the next one begins, once for every day that it touches, so that the many gaps
-- find theirs by area and day.
shift_days as (
    select
        area_ix,
        shift_ix,
        start_at,
        end_at,
        unnest(
            generate_series(date_trunc('day', start_at), date_trunc('day', end_at), interval 1 day)
        ) as day
    from (
        select
            area_numbers.area_ix,
            shift_spans.shift_ix,
            shift_spans.start_at,
            list_min([shift_spans.end_at, lead(shift_spans.start_at) over by_area]) as end_at
        from shift_spans
        inner join area_numbers on shift_spans.area = area_numbers.area
        window by_area as (partition by shift_spans.area order by shift_spans.start_at)
    ) as shifts
),

measured as (
    select
        gaps.*,
        merged_runs.machine_ix,
        areas.area_ix,
        date_diff('second', gaps.from_at, gaps.to_at) as wall_s,
        closing.running_s - opening.running_s as running_s,
        closing.unknown_s - opening.unknown_s as unknown_s,
        closing.attended_s - opening.attended_s as attended_s,
        closing.covered_s - opening.covered_s as covered_s,
        closing.authorised_s - opening.authorised_s as authorised_s,
        closing.uncovered_s - opening.uncovered_s as uncovered_s,
        closing.not_assessable_s - opening.not_assessable_s as not_assessable_s,
        case
            when closing.uncounted_steps = opening.uncounted_steps then closing.pieces - opening.pieces
        end as pieces
    from gaps
    inner join merged_runs on gaps.run_ix = merged_runs.run_ix
    inner join areas on merged_runs.machine_ix = areas.machine_ix
    inner join readings as opening on gaps.from_ix = opening.point_ix
    inner join readings as closing on gaps.to_ix = closing.point_ix
)

select
    measured.run_ix,
    measured.machine_ix,
    measured.from_at,
    measured.to_at,
    measured.basis,
    measured.running_s,
    measured.unknown_s,
    measured.wall_s,
    measured.pieces,
    measured.limit_s,
    coalesce(shared_names.line_ixs, set_names.line_ixs) as line_ixs,
    coalesce(shared_names.lines, set_names.lines) as lines,
    measured.time_missing,
    case measured.from_no when 1 then 'check' when 2 then 'release' else 'start' end as from_kind,
    case measured.to_no when 1 then 'check' else 'run-end' end as to_kind,
    case
        when measured.running_s = 0 then null
        when 3 * measured.attended_s >= 2 * measured.running_s then 'attended'
        when 3 * measured.covered_s >= 2 * measured.running_s then 'covered'
        when 3 * measured.authorised_s >= 2 * measured.running_s then 'authorised'
        when 3 * measured.uncovered_s >= 2 * measured.running_s then 'uncovered'
        when 3 * measured.not_assessable_s >= 2 * measured.running_s then 'not-assessable'
        else 'mixed'
    end as attendance,
    shift_days.shift_ix
from measured
inner join set_names on measured.set_ix = set_names.set_ix
left join shared_names
    on
        measured.run_ix = shared_names.run_ix
        and measured.basis = shared_names.basis
        and measured.from_at = shared_names.from_at
        and measured.to_at = shared_names.to_at
left join shift_days
    on
        measured.area_ix = shift_days.area_ix
        and date_trunc('day', measured.to_at) = shift_days.day
        and measured.to_at > shift_days.start_at
        and measured.to_at <= shift_days.end_at

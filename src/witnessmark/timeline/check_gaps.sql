/*---
about = "one row per merged run and stretch between consecutive completed checks of a plan line"
criteria = []
sorted = ["run_ix", "from_at", "to_at", "basis", "line_ixs"]
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
with versions as (
    select
        run_ix,
        plan_line_ix,
        line_ix,
        line,
        basis,
        from_at,
        to_at,
        interval_s + grace_s as limit_s,
        coalesce(
            lag(to_at) over by_time = from_at and lag(basis) over by_time = basis, false
        ) as goes_on
    from due_lines
    where basis in ('running-time', 'clock-time') and interval_s is not null
    window by_time as (partition by run_ix, plan_line_ix order by from_at)
),

-- A chain is a line as long as it binds a run on one basis.
chained as (
    select
        *,
        count(*) filter (where not goes_on) over (order by run_ix, plan_line_ix, from_at) as chain_ix
    from versions
),

chains as (
    select
        chain_ix,
        run_ix,
        plan_line_ix,
        basis,
        min(from_at) as from_at,
        max(to_at) as to_at,
        max(limit_s) as limit_s,
        max(line_ix) as line_ix,
        count(*) as n_versions
    from chained
    group by chain_ix, run_ix, plan_line_ix, basis
),

untimed as (
    select distinct
        run_ix,
        plan_line_ix
    from placed_checks
    where completed and done_at is null
),

opened as (
    select
        chains.chain_ix,
        chains.run_ix,
        chains.plan_line_ix,
        chains.to_at,
        case
            when starts.released_at > chains.from_at then starts.released_at else chains.from_at
        end as from_at,
        case
            when starts.released_at > chains.from_at then 'release'
            when starts.released_at is not null and chains.from_at = merged_runs.start_at then 'release'
            else 'start'
        end as from_kind
    from chains
    inner join merged_runs on chains.run_ix = merged_runs.run_ix
    left join starts on chains.run_ix = starts.run_ix
),

points as (
    select
        chain_ix,
        from_at as point_at,
        from_kind as kind,
        0 as step
    from opened
    union all
    select distinct
        opened.chain_ix,
        placed_checks.done_at as point_at,
        'check' as kind,
        1 as step
    from placed_checks
    inner join opened
        on
            placed_checks.run_ix = opened.run_ix
            and placed_checks.plan_line_ix = opened.plan_line_ix
            and placed_checks.done_at > opened.from_at
            and placed_checks.done_at <= opened.to_at
    where placed_checks.completed
    union all
    select
        chain_ix,
        to_at as point_at,
        'run-end' as kind,
        2 as step
    from opened
    where from_at < to_at
),

steps as (
    select
        chain_ix,
        point_at as to_at,
        kind as to_kind,
        lag(point_at) over (partition by chain_ix order by point_at, step) as from_at,
        lag(kind) over (partition by chain_ix order by point_at, step) as from_kind
    from points
),

-- The line's version at the gap's end, and the most generous limit, where there are several.
changed as (
    select
        steps.chain_ix,
        steps.from_at,
        max(chained.limit_s) as limit_s,
        arg_max(chained.line_ix, chained.from_at) as line_ix
    from steps
    inner join chains on steps.chain_ix = chains.chain_ix
    inner join chained
        on
            steps.chain_ix = chained.chain_ix
            and steps.from_at < chained.to_at
            and steps.to_at > chained.from_at
    where chains.n_versions > 1 and steps.from_at < steps.to_at
    group by steps.chain_ix, steps.from_at
),

gaps as (
    select
        chains.run_ix,
        chains.basis,
        steps.from_at,
        steps.to_at,
        min(steps.from_kind) as from_kind,
        min(steps.to_kind) as to_kind,
        min(coalesce(changed.limit_s, chains.limit_s)) as limit_s,
        bool_or(untimed.run_ix is not null) as time_missing,
        list_sort(list(coalesce(changed.line_ix, chains.line_ix))) as line_ixs
    from steps
    inner join chains on steps.chain_ix = chains.chain_ix
    left join changed on steps.chain_ix = changed.chain_ix and steps.from_at = changed.from_at
    left join untimed on chains.run_ix = untimed.run_ix and chains.plan_line_ix = untimed.plan_line_ix
    where steps.from_at < steps.to_at
    group by chains.run_ix, chains.basis, steps.from_at, steps.to_at
),

named as (
    select
        line_sets.line_ixs,
        array_to_string(
            list_sort(list_distinct(list(control_plan_lines.line))), ','
        ) as lines -- noqa: RF04
    from (
        select
            gaps.line_ixs,
            unnest(gaps.line_ixs) as line_ix
        from gaps
        group by gaps.line_ixs
    ) as line_sets
    inner join control_plan_lines on line_sets.line_ix = control_plan_lines.row_ix
    group by line_sets.line_ixs
),

located as (
    select
        gaps.*,
        named.lines,
        merged_runs.machine_ix,
        known_machines.area
    from gaps
    inner join named on gaps.line_ixs = named.line_ixs
    inner join merged_runs on gaps.run_ix = merged_runs.run_ix
    inner join known_machines on merged_runs.machine_ix = known_machines.machine_ix
),

clocked as (
    select
        located.*,
        date_diff('second', located.from_at, located.to_at) as wall_s,
        date_diff('second', opening.from_at, located.from_at) as opening_s,
        date_diff('second', closing.from_at, located.to_at) as closing_s,
        closing.running_s + closing.running_rate * closing_s
        - opening.running_s - opening.running_rate * opening_s as running_s,
        closing.unknown_s + closing.unknown_rate * closing_s
        - opening.unknown_s - opening.unknown_rate * opening_s as unknown_s,
        closing.attended_s + closing.attended_rate * closing_s
        - opening.attended_s - opening.attended_rate * opening_s as attended_s,
        closing.covered_s + closing.covered_rate * closing_s
        - opening.covered_s - opening.covered_rate * opening_s as covered_s,
        closing.authorised_s + closing.authorised_rate * closing_s
        - opening.authorised_s - opening.authorised_rate * opening_s as authorised_s,
        closing.uncovered_s + closing.uncovered_rate * closing_s
        - opening.uncovered_s - opening.uncovered_rate * opening_s as uncovered_s,
        closing.not_assessable_s + closing.not_assessable_rate * closing_s
        - opening.not_assessable_s - opening.not_assessable_rate * opening_s as not_assessable_s,
        case
            when closing.uncounted_steps = opening.uncounted_steps
                then
                    closing.pieces + closing.step_pieces * closing_s // closing.step_s
                    - opening.pieces - opening.step_pieces * opening_s // opening.step_s
        end as pieces
    from located
    asof left join clock_steps as opening
        on located.machine_ix = opening.machine_ix and located.from_at >= opening.from_at
    asof left join clock_steps as closing
        on located.machine_ix = closing.machine_ix and located.to_at >= closing.from_at
)

select
    clocked.run_ix,
    clocked.machine_ix,
    clocked.from_at,
    clocked.to_at,
    clocked.from_kind,
    clocked.to_kind,
    clocked.basis,
    clocked.running_s,
    clocked.unknown_s,
    clocked.wall_s,
    clocked.pieces,
    clocked.limit_s,
    clocked.line_ixs,
    clocked.lines,
    clocked.time_missing,
    case
        when clocked.running_s = 0 then null
        when 3 * clocked.attended_s >= 2 * clocked.running_s then 'attended'
        when 3 * clocked.covered_s >= 2 * clocked.running_s then 'covered'
        when 3 * clocked.authorised_s >= 2 * clocked.running_s then 'authorised'
        when 3 * clocked.uncovered_s >= 2 * clocked.running_s then 'uncovered'
        when 3 * clocked.not_assessable_s >= 2 * clocked.running_s then 'not-assessable'
        else 'mixed'
    end as attendance,
    case when clocked.to_at <= shift_spans.end_at then shift_spans.shift_ix end as shift_ix
from clocked
asof left join shift_spans
    on clocked.area = shift_spans.area and clocked.to_at > shift_spans.start_at

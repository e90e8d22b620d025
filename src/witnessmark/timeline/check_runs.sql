/*---
about = "one row per check: the merged run it belongs to and the running clock when it was made"
criteria = ["setup_lookback_min"]
sorted = ["check_ix"]
---
A check that names its run, or the set-up of one, belongs there. Any other is placed by machine,
part and time: when the pieces were taken, else when the check was made, else when it was entered.
It belongs to the run that was open then. Otherwise a first-off belongs to the run that starts next
within the look-back; any other check to a run that starts so soon after that the clocks allow it (a
last-off never: it ends something). What remains belongs to the latest run before, as a late
last-off does. `run_ix` is null where there is no such run.

The clock's values (`clock_steps`) are those of `done_at` at the machine of the run, null where the
check has no such time.
*/
with clocked as (
    select
        merged_runs.run_ix,
        merged_runs.machine_ix,
        merged_runs.machine_id,
        merged_runs.part_no,
        merged_runs.start_at,
        merged_runs.end_at,
        merged_runs.run_ids,
        runs.clock,
        dense_rank() over (order by merged_runs.machine_ix, merged_runs.part_no) as series_ix
    from merged_runs
    inner join runs on merged_runs.run_id = runs.run_id
),

series as (
    select distinct
        series_ix,
        machine_id,
        part_no
    from clocked
),

named_runs as (
    select
        run_ix,
        machine_ix,
        unnest(run_ids) as run_id
    from clocked
),

named_setups as (
    select
        setup_id,
        min(run_ix) as run_ix,
        arg_min(machine_ix, run_ix) as machine_ix
    from starts
    where setup_id is not null
    group by setup_id
),

found as (
    select
        checks.kind,
        checks.result,
        checks.plan_no,
        checks.done_at,
        checks.taken_at,
        checks.clock,
        series.series_ix,
        cast(checks.row_ix as integer) as check_ix,
        coalesce(checks.taken_at, checks.done_at, checks.entered_at) as placed_at,
        coalesce(named_runs.run_ix, named_setups.run_ix) as named_run_ix,
        coalesce(
            named_runs.machine_ix, named_setups.machine_ix, known_machines.machine_ix
        ) as machine_ix
    from checks
    left join known_machines on checks.machine_id = known_machines.machine_id
    left join named_runs on checks.run_id = named_runs.run_id
    left join named_setups on checks.setup_id = named_setups.setup_id
    left join series on checks.machine_id = series.machine_id and checks.part_no = series.part_no
    where checks.row_ix between $from_check_ix and $to_check_ix
),

-- Of two runs of one part begun in the same minute (with two tools) the first serves.
distinct_starts as (
    select
        series_ix,
        start_at,
        arg_min(run_ix, (end_at, run_ix)) as run_ix,
        min(end_at) as end_at,
        arg_min({ 'clock': clock }, (end_at, run_ix)).clock as clock
    from clocked
    group by series_ix, start_at
),

loose as (
    select
        check_ix,
        kind,
        placed_at,
        clock,
        series_ix
    from found
    where named_run_ix is null and series_ix is not null and placed_at is not null
),

neighbours as (
    select
        loose.check_ix,
        loose.kind,
        earlier.run_ix,
        later.run_ix as next_run_ix,
        loose.placed_at < earlier.end_at as is_open,
        date_diff('second', loose.placed_at, later.start_at) as ahead_s,
        tolerance_s(loose.clock, later.clock) as tolerance
    from loose
    asof left join distinct_starts as earlier
        on loose.series_ix = earlier.series_ix and loose.placed_at >= earlier.start_at
    asof left join distinct_starts as later
        on loose.series_ix = later.series_ix and loose.placed_at < later.start_at
),

chosen as (
    select
        check_ix,
        case
            when is_open then run_ix
            when kind = 'first-off' and ahead_s <= $setup_lookback_s then next_run_ix
            when kind != 'last-off' and ahead_s <= tolerance then next_run_ix
            else run_ix
        end as run_ix
    from neighbours
),

placed as (
    select
        found.check_ix,
        found.machine_ix,
        found.kind,
        found.result,
        found.plan_no,
        found.placed_at,
        found.done_at,
        found.taken_at,
        coalesce(found.named_run_ix, chosen.run_ix) as run_ix
    from found
    left join chosen on found.check_ix = chosen.check_ix
),

read_off as (
    select
        placed.*,
        steps.uncounted_steps,
        date_diff('second', steps.from_at, placed.done_at) as elapsed_s,
        steps.running_s + steps.running_rate * elapsed_s as running_s,
        steps.unknown_s + steps.unknown_rate * elapsed_s as unknown_s,
        steps.attended_s + steps.attended_rate * elapsed_s as attended_s,
        steps.covered_s + steps.covered_rate * elapsed_s as covered_s,
        steps.authorised_s + steps.authorised_rate * elapsed_s as authorised_s,
        steps.uncovered_s + steps.uncovered_rate * elapsed_s as uncovered_s,
        steps.not_assessable_s + steps.not_assessable_rate * elapsed_s as not_assessable_s,
        steps.pieces + steps.step_pieces * elapsed_s // steps.step_s as pieces
    from placed
    asof left join clock_steps as steps
        on placed.machine_ix = steps.machine_ix and placed.done_at >= steps.from_at
)

select
    check_ix,
    run_ix,
    machine_ix,
    kind,
    result,
    plan_no,
    placed_at,
    done_at,
    taken_at,
    running_s,
    unknown_s,
    pieces,
    uncounted_steps,
    attended_s,
    covered_s,
    authorised_s,
    uncovered_s,
    not_assessable_s
from read_off

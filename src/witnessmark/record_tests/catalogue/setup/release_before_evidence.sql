/*---
finding = "A set-up was released before its first-off results, on a failed one, or on a plan no longer valid."
says = "Set-up {ref} on {machine_id} was released at {released_at}: {grounds}."
needs = ["setups.released_at", "runs", "checks.done_at", "control_plan_lines"]
criteria = []
clauses = ["A 8.5.1.3", "Q 8.5.1 c", "Q 8.6", "Q 7.5.3"]
pattern = "depends"
strata = ["attendance", "shift", "machine_id"]
key = ["setup_id"]
since = "0.1"

[uses]
process_events = "Whether a failed characteristic was adjusted is not looked at: no process events were given."
---
## What it tests
Whether the first-off results existed when a set-up was released, whether a characteristic that
failed was adjusted and found good before, and whether the set-up went by the plan valid then.

## Why it matters
The laboratory's clock may differ, or a repeat may have overwritten the first result. Otherwise the
signature came before what it stands for.

## Population
Every set-up record of a run with a recorded release. Its ref is the set-up. One without any
first-off is not applicable here: it belongs to first-off-missing.

## Not assessable
- A first-off that could be the last one to come has no time.

## Traps
- Two systems' clocks: an order of times counts only beyond their tolerance.
- A failed characteristic needs both an adjustment and a repeat.
- The revision is the one valid then, not today's.

## Ask next
Would you show us how the last release was done, step by step, on any shift?

## Source
Release of set-ups and of product: IATF 16949:2016 8.5.1.3; ISO 9001:2015 8.5.1 c, 8.6, 7.5.3
(memory).
*/
with

releases as (
    select
        starts.setup_id,
        starts.run_ix,
        starts.machine_id,
        starts.start_at,
        starts.released_at,
        setups.plan_rev,
        setups.clock,
        coalesce(setups.start_at, setups.end_at) as setup_at
    from starts
    inner join setups using (setup_id)
    where starts.released_at is not null
),

results as (
    select
        releases.setup_id,
        placed_checks.plan_line_ix,
        placed_checks.done_at,
        placed_checks.passed,
        tolerance_s(checks.clock, releases.clock) as tolerance,
        date_diff('second', releases.released_at, placed_checks.done_at) as after_s
    from releases
    inner join placed_checks using (run_ix)
    inner join checks on placed_checks.check_ix = checks.row_ix
    where placed_checks.kind = 'first-off' and placed_checks.completed
),

lines as (
    select
        setup_id,
        plan_line_ix,
        max(tolerance) as tolerance,
        min(after_s) as first_after_s,
        count(*) filter (where done_at is null) as untimed,
        min(done_at) filter (where not passed and after_s <= tolerance) as failed_at,
        arg_max(passed, done_at) filter (where after_s <= tolerance) as passed_at_release
    from results
    group by setup_id, plan_line_ix
),

adjusted as (
    select
        lines.setup_id,
        lines.plan_line_ix,
        count(*) as n
    from lines
    inner join releases using (setup_id)
    inner join process_events on releases.machine_id = process_events.machine_id
    where
        process_events.happened_at between lines.failed_at and releases.released_at
        and process_events.kind in ('offset', 'tool-change', 'repair')
    group by all
),

revisions as (
    select
        releases.setup_id,
        count(*) filter (where control_plan_lines.rev = releases.plan_rev) as n_valid
    from releases
    inner join due_lines on releases.run_ix = due_lines.run_ix and releases.start_at = due_lines.from_at
    inner join control_plan_lines on due_lines.line_ix = control_plan_lines.row_ix
    group by releases.setup_id
),

judged as (
    select
        lines.setup_id,
        max(lines.tolerance) as tolerance,
        max(lines.first_after_s) as last_after_s,
        sum(lines.untimed) as untimed,
        bool_or(lines.first_after_s > lines.tolerance) as is_before,
        bool_or(lines.passed_at_release = false) as on_failed,
        bool_or(
            lines.failed_at is not null
            and lines.passed_at_release
            and adjusted.n is null
            and exists (select 1 from process_events)
        ) as without_adjustment
    from lines
    left join adjusted using (setup_id, plan_line_ix)
    group by lines.setup_id
),

grounds as (
    select
        releases.*,
        judged.tolerance,
        judged.last_after_s,
        judged.untimed,
        judged.setup_id is not null as has_first_off,
        concat_ws(
            '; ',
            case when judged.is_before then 'a first-off result came later' end,
            case when judged.on_failed then 'the last first-off before it had failed' end,
            case
                when judged.without_adjustment
                    then 'a failed characteristic was measured again without a recorded adjustment'
            end,
            case
                when releases.plan_rev is not null and revisions.n_valid = 0
                    then 'it went by revision ' || releases.plan_rev || ', not valid then'
            end
        ) as found
    from releases
    left join judged using (setup_id)
    left join revisions using (setup_id)
)

select
    grounds.setup_id,
    grounds.machine_id,
    grounds.released_at,
    grounds.found as grounds,
    run_contexts.attendance,
    run_contexts.shift,
    run_contexts.shift_ref,
    abs(grounds.last_after_s - grounds.tolerance) <= 2 * grounds.tolerance as fragile,
    case when not grounds.has_first_off then 'no first-off on record' end as not_applicable,
    case when grounds.found = '' and grounds.untimed > 0 then 'time missing' end as not_assessable,
    case
        when grounds.found <> '' then true
        when grounds.untimed = 0 then false
    end as exception
from grounds
left join run_contexts using (run_ix)

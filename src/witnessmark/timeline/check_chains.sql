/*---
about = "one row per merged run and plan line that is due by time, as long as it binds on one basis"
criteria = []
sorted = ["chain_ix"]
---
The frame of `check_gaps`: from the release (without one on record, or before the start: from the
run's start) or the first day of validity to the run's end or the last day of validity. `limit_s` is
interval and grace, the most generous of several versions.

Lines of a run that were completed by exactly the same checks share a `round_ix`, which is the least
`chain_ix` among them: they have the same gaps, which are then worked out once. Whether the checks
are the same is told by their number and by two sums over their numbers mixed in 64 bits. A line with
several versions shares with none.
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

opened as (
    select
        chains.chain_ix,
        chains.run_ix,
        chains.plan_line_ix,
        chains.line_ix,
        chains.basis,
        chains.limit_s,
        chains.n_versions,
        chains.to_at,
        merged_runs.machine_ix,
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

completed as (
    select
        opened.chain_ix,
        count(*) as n_checks,
        sum(hash(placed_checks.check_ix)) as checks_sum,
        bit_xor(hash(placed_checks.check_ix, 7)) as checks_mix
    from placed_checks
    inner join opened
        on
            placed_checks.run_ix = opened.run_ix
            and placed_checks.plan_line_ix = opened.plan_line_ix
            and placed_checks.done_at > opened.from_at
            and placed_checks.done_at <= opened.to_at
    where placed_checks.completed
    group by opened.chain_ix
)

select
    opened.chain_ix,
    opened.run_ix,
    opened.plan_line_ix,
    opened.line_ix,
    opened.machine_ix,
    opened.basis,
    opened.from_at,
    opened.to_at,
    opened.from_kind,
    opened.limit_s,
    opened.n_versions,
    min(opened.chain_ix) over (
        partition by
            opened.run_ix,
            opened.basis,
            opened.from_at,
            opened.to_at,
            opened.from_kind,
            completed.n_checks,
            completed.checks_sum,
            completed.checks_mix,
            case when opened.n_versions > 1 then opened.chain_ix end
    ) as round_ix
from opened
left join completed on opened.chain_ix = completed.chain_ix

/*---
about = "one row per start of a merged run that asks for a set-up"
criteria = ["setup_lookback_min"]
sorted = ["start_ix"]
---
A machine's first run, and each run that changes part or tool against the run before it on the
machine; a tool that is not written on either side is no change.

The set-up record is the latest of the machine and the new part whose end (else start) lies within
the look-back before the start, or after it by no more than the clocks allow. A record from before
the previous run began served that or an earlier start and is not taken again (where the part stays
the same: also one from the clocks' tolerance after). `release_basis` says
whether a release is recorded in it.
*/
with clocked as (
    select
        merged_runs.run_ix,
        merged_runs.run_id,
        merged_runs.machine_ix,
        merged_runs.machine_id,
        merged_runs.part_no,
        merged_runs.tool_id,
        merged_runs.start_at,
        runs.clock
    from merged_runs
    inner join runs on merged_runs.run_id = runs.run_id
),

preceded as (
    select
        *,
        lag(run_ix) over by_start as from_run_ix,
        lag(part_no) over by_start as from_part,
        lag(tool_id) over by_start as from_tool,
        lag(start_at) over by_start as from_start_at
    from clocked
    window by_start as (partition by machine_ix order by start_at, run_ix)
),

changes as (
    select
        *,
        case
            when from_run_ix is null then 'first'
            when part_no != from_part then 'part'
            when tool_id != from_tool then 'tool'
        end as kind
    from preceded
),

records as (
    select
        setup_id,
        machine_id,
        to_part,
        start_at,
        end_at,
        released_at,
        clock,
        coalesce(end_at, start_at) as set_at,
        coalesce(end_at, start_at) + to_seconds($setup_lookback_s) as serves_until
    from setups
),

fitting as (
    select
        changes.run_ix,
        arg_max(
            {
                'setup_id': records.setup_id,
                'start_at': records.start_at,
                'end_at': records.end_at,
                'released_at': records.released_at
            },
            (records.set_at, records.setup_id)
        ) as setup
    from changes
    inner join records
        on
            changes.machine_id = records.machine_id
            and changes.part_no = records.to_part
            and changes.start_at <= records.serves_until
            and (changes.from_start_at < records.set_at or changes.from_start_at is null)
    where
        changes.kind is not null
        and date_diff('second', changes.start_at, records.set_at)
        <= tolerance_s(records.clock, changes.clock)
        and (
            changes.kind != 'tool'
            or date_diff('second', changes.from_start_at, records.set_at)
            > tolerance_s(records.clock, changes.clock)
        )
    group by changes.run_ix
)

select
    cast(row_number() over (order by changes.run_ix) as integer) as start_ix,
    changes.machine_ix,
    changes.machine_id,
    changes.run_ix,
    changes.run_id,
    changes.part_no,
    changes.from_run_ix,
    changes.from_part,
    changes.start_at,
    changes.kind,
    fitting.setup.setup_id,
    fitting.setup.start_at as setup_start_at,
    fitting.setup.end_at as setup_end_at,
    fitting.setup.released_at,
    case when fitting.setup.released_at is null then 'none' else 'record' end as release_basis
from changes
left join fitting on changes.run_ix = fitting.run_ix
where changes.kind is not null

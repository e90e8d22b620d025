/*---
finding = "A run began after a change of part or tool, and no set-up record belongs to it."
says = "Run {ref} on {machine_id} began with part {part_no} at {start_at} after a change of {kind}; no set-up record fits."
needs = ["runs", "setups"]
criteria = ["setup_lookback_min"]
clauses = ["A 8.5.1.3"]
pattern = "depends"
strata = ["attendance", "shift", "machine_id"]
key = ["run_id"]
since = "0.1"
---
## What it tests
Whether every run that began with a new part or tool has a set-up record of that machine and part.

## Why it matters
The record may stand under another machine number, or the run list may be wrong. Where there is
none, nothing shows that the set-up was verified before the run.

## Population
Every start of a merged run with a change of part or tool against the run before it on the machine.
Its ref is the run. A machine's first run in the data is not applicable: what ran before is unknown.

## Not assessable
- The start is known to the day only, or a set-up record that could be the one has no time.
- Several runs are booked on the machine at one time: which start is a change cannot be told.
- The machine has many changes and hardly ever a record (ten changes or more, records for at most
  one in ten): whether set-ups are to be recorded there is one question, not many exceptions.

## Traps
- A follow-on order of the same part and tool is no set-up.
- A tool that is not written on either side is no change.
- Records of a change of material family wait for a column that says so.

## Ask next
May we see the set-up sheet of this run, its parameters, and who verified it?

## Source
Verification of set-ups: IATF 16949:2016 8.5.1.3 (memory). A look-back of eight hours: common
practice, no source.
*/
with

untimed as (
    select distinct
        machine_id,
        to_part as part_no
    from setups
    where coalesce(end_at, start_at) is null
),

-- Runs side by side on one machine name stand for several benches.
side_by_side as (
    select
        run_ix,
        max(end_at) over (
            partition by machine_ix order by start_at, run_ix
            rows between unbounded preceding and 1 preceding
        ) > start_at as is_shared
    from merged_runs
),

habits as (
    select
        starts.machine_id,
        count(*) filter (where starts.kind <> 'first') as n_changes,
        (
            select count(*) from setups
            where setups.machine_id = starts.machine_id
        ) as n_records
    from starts
    group by starts.machine_id
),

soon_after as (
    select
        starts.run_ix,
        count(*) as n
    from starts
    inner join setups on starts.machine_id = setups.machine_id and starts.part_no = setups.to_part
    where
        starts.setup_id is null
        and date_diff('second', starts.start_at, coalesce(setups.end_at, setups.start_at))
        between 0 and 3 * tolerance_s(setups.clock, setups.clock)
    group by starts.run_ix
)

select
    starts.run_id,
    starts.machine_id,
    starts.part_no,
    starts.start_at,
    starts.kind,
    run_contexts.attendance,
    run_contexts.shift,
    run_contexts.shift_ref,
    case when starts.kind = 'first' then 'first run of the machine in the data' end as not_applicable,
    case
        when starts.setup_id is not null then null
        when runs.start_at_quality = 'day' or untimed.machine_id is not null then 'time missing'
        when side_by_side.is_shared then 'several runs at one time'
        when habits.n_changes >= 10 and habits.n_records * 10 <= habits.n_changes then 'rule absent'
    end as not_assessable,
    case
        when starts.setup_id is not null then false
        when
            untimed.machine_id is null
            and coalesce(runs.start_at_quality <> 'day', true)
            and not coalesce(side_by_side.is_shared, false)
            and (habits.n_changes < 10 or habits.n_records * 10 > habits.n_changes) then true
    end as exception,
    soon_after.n > 0 as fragile
from starts
inner join runs on starts.run_id = runs.run_id
inner join habits on starts.machine_id = habits.machine_id
left join side_by_side using (run_ix)
left join run_contexts using (run_ix)
left join untimed on starts.machine_id = untimed.machine_id and starts.part_no = untimed.part_no
left join soon_after using (run_ix)

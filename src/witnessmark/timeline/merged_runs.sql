/*---
about = "one row per stretch in which a machine made one part with one tool"
criteria = ["restart_threshold_min"]
sorted = ["run_ix"]
---
Runs that an order, a shift or midnight split are joined: same machine, part and tool (none written
on both counts as the same), a gap below the restart threshold, and no run of another part or tool
begun in between. `run_id` is the first run's. A run without an end lasts until the machine's next
run begins, else to the end of the period, and is marked open. A run without a certain start is left
out. `pieces` are those reported, good and scrap; null as soon as one of the runs reports no good
ones. `op` is null where the joined runs name several.
*/
with placed as (
    select
        runs.run_id,
        runs.machine_id,
        runs.part_no,
        runs.op,
        runs.tool_id,
        runs.start_at,
        runs.end_kind,
        runs.end_at is null as is_open,
        runs.good + coalesce(runs.scrap, 0) as pieces,
        coalesce(
            runs.end_at,
            min(runs.start_at) over (
                partition by runs.machine_id
                order by runs.start_at
                range between interval 1 microsecond following and unbounded following
            ),
            period.ends_at,
            runs.start_at
        ) as end_at
    from runs
    cross join period
    where runs.start_at is not null and runs.machine_id is not null
),

preceded as (
    select
        *,
        max(end_at) over (
            partition by machine_id, part_no, tool_id
            order by start_at, run_id
            rows between unbounded preceding and 1 preceding
        ) as last_end_at
    from placed
),

changed as (
    select distinct later.run_id
    from preceded as later
    inner join placed as other
        on
            later.machine_id = other.machine_id
            and later.last_end_at <= other.start_at
            and later.start_at > other.start_at
    where
        later.part_no is distinct from other.part_no
        or later.tool_id is distinct from other.tool_id
),

begun as (
    select
        preceded.*,
        changed.run_id is not null as is_change
    from preceded
    left join changed on preceded.run_id = changed.run_id
),

numbered as (
    select
        *,
        count(*) filter (
            where
            last_end_at is null
            or is_change
            or date_diff('second', last_end_at, start_at) >= $restart_threshold_s
        ) over (partition by machine_id, part_no, tool_id order by start_at, run_id) as sequence_no
    from begun
),

merged as (
    select
        machine_id,
        part_no,
        tool_id,
        sequence_no,
        arg_min(run_id, (start_at, run_id)) as run_id,
        case when count(distinct op) = 1 then max(op) end as op,
        min(start_at) as start_at,
        max(end_at) as end_at,
        arg_max(is_open, (end_at, start_at, run_id)) as is_open,
        arg_max({ 'kind': end_kind }, (end_at, start_at, run_id)).kind as end_kind,
        list(run_id order by start_at, run_id) as run_ids,
        case when count(pieces) = count(*) then sum(pieces) end as pieces
    from numbered
    group by machine_id, part_no, tool_id, sequence_no
)

select
    cast(
        row_number() over (order by merged.machine_id, merged.start_at, merged.run_id) as integer
    ) as run_ix,
    merged.run_id,
    known_machines.machine_ix,
    merged.machine_id,
    merged.part_no,
    merged.op,
    merged.tool_id,
    merged.start_at,
    merged.end_at,
    merged.is_open,
    merged.end_kind,
    merged.run_ids,
    cast(merged.pieces as bigint) as pieces
from merged
inner join known_machines on merged.machine_id = known_machines.machine_id

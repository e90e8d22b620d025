/*---
about = "one row per stretch in which a machine made one part with one tool"
criteria = ["restart_threshold_min"]
sorted = ["run_ix"]
---
Runs that an order, a shift or midnight split are joined: same machine, part and tool (none written
on both counts as the same), a gap below the restart threshold, and no run of another part or tool
begun in between. `run_id` is the first run's. `pieces` are those reported; null as soon as one of
the runs reports none. `op` is null where the joined runs name several.
*/
with preceded as (
    select
        *,
        max(end_at) over (
            partition by machine_ix, part_no, tool_id
            order by start_at, run_id
            rows between unbounded preceding and 1 preceding
        ) as last_end_at
    from run_spans
),

changed as (
    select distinct later.run_id
    from preceded as later
    inner join run_spans as other
        on
            later.machine_ix = other.machine_ix
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
        ) over (partition by machine_ix, part_no, tool_id order by start_at, run_id) as sequence_no
    from begun
),

merged as (
    select
        machine_ix,
        machine_id,
        part_no,
        tool_id,
        sequence_no,
        cast(case when count(pieces) = count(*) then sum(pieces) end as bigint) as pieces,
        arg_min(run_id, (start_at, run_id)) as run_id,
        case when count(distinct op) = 1 then max(op) end as op,
        min(start_at) as start_at,
        max(end_at) as end_at,
        arg_max(is_open, (end_at, start_at, run_id)) as is_open,
        arg_max({ 'kind': end_kind }, (end_at, start_at, run_id)).kind as end_kind,
        list(run_id order by start_at, run_id) as run_ids
    from numbered
    group by machine_ix, machine_id, part_no, tool_id, sequence_no
),

named as (
    select
        *,
        cast(row_number() over (order by machine_ix, start_at, run_id) as integer) as run_ix
    from merged
)

select
    run_ix,
    run_id,
    machine_ix,
    machine_id,
    part_no,
    op,
    tool_id,
    start_at,
    end_at,
    is_open,
    end_kind,
    run_ids,
    pieces
from named

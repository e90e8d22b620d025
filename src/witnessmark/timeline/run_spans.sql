/*---
about = "one row per run as written, with an end"
criteria = []
sorted = ["machine_ix", "start_at", "run_id"]
---
A run without an end lasts until the machine's next run begins, else to the end of the period, and
is marked open. A run without a certain start is left out. `pieces` are those reported, good and
scrap; null where no good ones are.
*/
with ended as (
    select
        runs.run_id,
        runs.machine_id,
        runs.part_no,
        runs.op,
        runs.tool_id,
        runs.start_at,
        runs.end_kind,
        runs.end_at is null as is_open,
        coalesce(
            runs.end_at,
            min(runs.start_at) over (
                partition by runs.machine_id
                order by runs.start_at
                range between interval 1 microsecond following and unbounded following
            ),
            period.ends_at
        ) as end_at,
        runs.good + coalesce(runs.scrap, 0) as pieces
    from runs
    cross join period
    where runs.start_at is not null
)

select
    known_machines.machine_ix,
    ended.run_id,
    ended.machine_id,
    ended.part_no,
    ended.op,
    ended.tool_id,
    ended.start_at,
    ended.end_kind,
    ended.is_open,
    ended.pieces,
    -- A run that begins after a stated period has no length in it.
    case when ended.end_at < ended.start_at then ended.start_at else ended.end_at end as end_at
from ended
inner join known_machines on ended.machine_id = known_machines.machine_id

/*---
about = "one row per machine and stretch in which it ran, stood, or nobody knows"
criteria = []
sorted = ["machine_ix", "from_at"]
---
The longest spans of one state; together they cover the period without hole or overlap. How a state
and its pieces are found is said at `running_cells`. Pieces are null where part of the span has no
known number.
*/
with compared as (
    select
        *,
        coalesce(state = lag(state) over (partition by machine_ix order by from_at), false) as goes_on
    from running_cells
),

numbered as (
    select
        *,
        count(*) filter (where not goes_on) over (
            partition by machine_ix order by from_at
        ) as span_no
    from compared
),

merged as (
    select
        machine_ix,
        span_no,
        cast(case when count(pieces) = count(*) then sum(pieces) end as bigint) as pieces,
        min(from_at) as from_at,
        max(to_at) as to_at,
        min(state) as state
    from numbered
    group by machine_ix, span_no
)

select
    machine_ix,
    from_at,
    to_at,
    state,
    pieces
from merged

/*---
about = "one row per machine and instant at which running, cover or the rate of pieces changes"
criteria = []
sorted = ["machine_ix", '"at"']
---
The central table: everything counted from the start of the period up to `at`, so that "minutes of
running since" and "pieces since" are one ASOF join at each end and a subtraction. The two flags
hold from `at` to the next row; seconds per attendance class count running seconds. From the end of
the period on everything is unknown. `pieces` is null where the stretch that begins at `at` has no
known number.
*/
with cells as (
    select
        machine_ix,
        from_at,
        to_at,
        state = 'running' as is_running,
        state = 'unknown' as is_unknown,
        pieces,
        date_diff('second', from_at, to_at) as wall_s
    from running_cells
    union all
    -- The end of the period, from which on nothing is known.
    select
        machine_ix,
        max(to_at) as from_at,
        null as to_at,
        false as is_running,
        true as is_unknown,
        0 as pieces,
        1 as wall_s
    from running_cells
    group by machine_ix
),

counted as (
    select
        *,
        coalesce(sum(case when is_running then wall_s end) over earlier, 0) as running_before_s,
        coalesce(sum(case when is_unknown then wall_s end) over earlier, 0) as unknown_before_s,
        coalesce(sum(pieces) over earlier, 0) as pieces_before
    from cells
    window earlier as (
        partition by machine_ix order by from_at
        rows between unbounded preceding and 1 preceding
    )
),

instants as (
    select
        machine_ix,
        from_at as instant
    from cells
    union
    select
        machine_ix,
        from_at as instant
    from attendance_spans
),

placed as (
    select
        instants.machine_ix,
        instants.instant,
        counted.is_running,
        counted.is_unknown,
        counted.pieces,
        counted.wall_s,
        counted.running_before_s,
        counted.unknown_before_s,
        counted.pieces_before,
        attendance_spans.class,
        date_diff('second', counted.from_at, instants.instant) as since_s
    from instants
    asof inner join counted
        on instants.machine_ix = counted.machine_ix and instants.instant >= counted.from_at
    asof inner join attendance_spans
        on
            instants.machine_ix = attendance_spans.machine_ix
            and instants.instant >= attendance_spans.from_at
),

measured as (
    select
        machine_ix,
        instant,
        is_running,
        is_unknown,
        class,
        cast(running_before_s + case when is_running then since_s else 0 end as bigint) as running_s,
        cast(unknown_before_s + case when is_unknown then since_s else 0 end as bigint) as unknown_s,
        cast(pieces_before + (2 * pieces * since_s + wall_s) // (2 * wall_s) as bigint) as pieces
    from placed
),

-- What ran from here to the next row, and the class it ran in.
followed as (
    select
        *,
        lead(running_s) over (partition by machine_ix order by instant) - running_s as ran_s
    from measured
),

classed as (
    select
        machine_ix,
        instant,
        is_running,
        is_unknown,
        running_s,
        unknown_s,
        pieces,
        cast(coalesce(sum(ran_s) filter (where class = 'attended') over earlier, 0) as bigint) as attended_s,
        cast(coalesce(sum(ran_s) filter (where class = 'covered') over earlier, 0) as bigint) as covered_s,
        cast(coalesce(sum(ran_s) filter (where class = 'authorised') over earlier, 0) as bigint)
            as authorised_s,
        cast(coalesce(sum(ran_s) filter (where class = 'uncovered') over earlier, 0) as bigint) as uncovered_s
    from followed
    window earlier as (
        partition by machine_ix order by instant
        rows between unbounded preceding and 1 preceding
    )
)

select
    machine_ix,
    instant as at, -- noqa: RF04
    is_running,
    is_unknown,
    running_s,
    unknown_s,
    pieces,
    attended_s,
    covered_s,
    authorised_s,
    uncovered_s,
    running_s - attended_s - covered_s - authorised_s - uncovered_s as not_assessable_s
from classed

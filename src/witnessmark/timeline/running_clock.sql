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
        state,
        pieces,
        date_diff('second', from_at, to_at) as wall_s,
        coalesce(
            sum(pieces) over (
                partition by machine_ix order by from_at
                rows between unbounded preceding and 1 preceding
            ),
            0
        ) as pieces_before
    from running_cells
    union all
    -- The end of the period, from which on nothing is known.
    select
        machine_ix,
        max(to_at) as from_at,
        null as to_at,
        'unknown' as state,
        0 as pieces,
        1 as wall_s,
        coalesce(sum(pieces), 0) as pieces_before
    from running_cells
    group by machine_ix
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
        attendance_spans.class,
        cells.state = 'running' as is_running,
        cells.state = 'unknown' as is_unknown,
        cells.pieces_before
        + (2 * cells.pieces * date_diff('second', cells.from_at, instants.instant) + cells.wall_s)
        // (2 * cells.wall_s) as pieces,
        date_diff(
            'second',
            instants.instant,
            lead(instants.instant) over (
                partition by instants.machine_ix order by instants.instant
            )
        ) as wall_s
    from instants
    asof inner join cells
        on instants.machine_ix = cells.machine_ix and instants.instant >= cells.from_at
    asof inner join attendance_spans
        on
            instants.machine_ix = attendance_spans.machine_ix
            and instants.instant >= attendance_spans.from_at
),

measured as (
    select
        *,
        case when is_running then wall_s else 0 end as running_s,
        case when is_unknown then wall_s else 0 end as unknown_s
    from placed
)

select
    machine_ix,
    instant as at, -- noqa: RF04
    is_running,
    is_unknown,
    cast(coalesce(sum(running_s) over before, 0) as bigint) as running_s,
    cast(coalesce(sum(unknown_s) over before, 0) as bigint) as unknown_s,
    cast(pieces as bigint) as pieces,
    cast(coalesce(sum(running_s) filter (where class = 'attended') over before, 0) as bigint) as attended_s,
    cast(coalesce(sum(running_s) filter (where class = 'covered') over before, 0) as bigint) as covered_s,
    cast(
        coalesce(sum(running_s) filter (where class = 'authorised') over before, 0) as bigint
    ) as authorised_s,
    cast(
        coalesce(sum(running_s) filter (where class = 'uncovered') over before, 0) as bigint
    ) as uncovered_s,
    cast(
        coalesce(sum(running_s) filter (where class = 'not-assessable') over before, 0) as bigint
    ) as not_assessable_s
from measured
window before as (
    partition by machine_ix order by instant
    rows between unbounded preceding and 1 preceding
)

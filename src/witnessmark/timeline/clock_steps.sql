/*---
about = "one row per step of a machine's running clock: what it shows, and what each second adds"
criteria = []
sorted = ["machine_ix", "from_at"]
---
For reading the clock at any instant: the last step at or before it, and the seconds since times the
rate of each reading. Pieces are spread over their step: `step_pieces` over `step_s` seconds. Where
`uncounted_steps` differ between two instants, the pieces made between them are not known.

The clock is also read outside the period: time before its first and after its last breakpoint is
unknown, and the seconds before the first are negative so that differences come out right.
*/
with breakpoints as (
    select
        running_clock.*,
        running_clock.at as from_at,
        lead(running_clock.at) over by_time as to_at,
        lead(running_clock.pieces) over by_time as next_pieces,
        lead(running_clock.attended_s) over by_time as next_attended_s,
        lead(running_clock.covered_s) over by_time as next_covered_s,
        lead(running_clock.authorised_s) over by_time as next_authorised_s,
        lead(running_clock.uncovered_s) over by_time as next_uncovered_s,
        lead(running_clock.not_assessable_s) over by_time as next_not_assessable_s
    from running_clock
    window by_time as (partition by running_clock.machine_ix order by running_clock.at)
),

begun as (
    select
        machine_ix,
        min(from_at) as from_at
    from breakpoints
    group by machine_ix
)

select
    machine_ix,
    from_at,
    running_s,
    unknown_s,
    pieces,
    attended_s,
    covered_s,
    authorised_s,
    uncovered_s,
    not_assessable_s,
    coalesce(date_diff('second', from_at, to_at), 1) as step_s,
    case when to_at is null then 0 else next_pieces - pieces end as step_pieces,
    count(*) filter (where pieces is null) over (
        partition by machine_ix order by from_at
    ) as uncounted_steps,
    cast(to_at is not null and is_running as integer) as running_rate,
    cast(to_at is null or is_unknown as integer) as unknown_rate,
    cast(coalesce(next_attended_s > attended_s, false) as integer) as attended_rate,
    cast(coalesce(next_covered_s > covered_s, false) as integer) as covered_rate,
    cast(coalesce(next_authorised_s > authorised_s, false) as integer) as authorised_rate,
    cast(coalesce(next_uncovered_s > uncovered_s, false) as integer) as uncovered_rate,
    cast(coalesce(next_not_assessable_s > not_assessable_s, false) as integer) as not_assessable_rate
from breakpoints
union all
select
    machine_ix,
    timestamp '0001-01-01' as from_at,
    0 as running_s,
    -date_diff('second', timestamp '0001-01-01', from_at) as unknown_s,
    null as pieces,
    0 as attended_s,
    0 as covered_s,
    0 as authorised_s,
    0 as uncovered_s,
    0 as not_assessable_s,
    1 as step_s,
    null as step_pieces,
    0 as uncounted_steps,
    0 as running_rate,
    1 as unknown_rate,
    0 as attended_rate,
    0 as covered_rate,
    0 as authorised_rate,
    0 as uncovered_rate,
    0 as not_assessable_rate
from begun

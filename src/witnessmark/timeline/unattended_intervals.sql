/*---
about = "one row per merged run and longest stretch in which nobody attended or covered the machine"
criteria = ["restart_threshold_min"]
sorted = ["machine_ix", "from_at"]
---
From the first to the last running (or unknown) instant of the stretch. Somebody who attends or
covers cuts it, and so does a standstill of at least the restart threshold: the machine no longer
ran in one stretch. Shorter stops do not. Time of an unknown attendance class cuts nothing and is
told in `unclassed_s`: somebody may have been there.

`ran_s` and `unclassed_s` count seconds that were not known to be stopped; `attendance` is the class
of at least two thirds of them, else mixed.
*/
with known as (
    select
        running_states.machine_ix,
        running_states.from_at,
        running_states.to_at,
        running_states.state,
        coalesce(
            running_states.state = 'stopped'
            and date_diff('second', running_states.from_at, running_states.to_at) >= $restart_threshold_s,
            false
        ) as is_long_stop
    from running_states
),

instants as (
    select
        machine_ix,
        from_at
    from known
    union
    select
        machine_ix,
        from_at
    from attendance_spans
    union
    select
        machine_ix,
        unnest([start_at, end_at]) as from_at
    from merged_runs
),

stretches as (
    select
        machine_ix,
        from_at,
        lead(from_at) over (partition by machine_ix order by from_at) as to_at
    from instants
),

cells as (
    select
        merged_runs.run_ix,
        stretches.machine_ix,
        stretches.from_at,
        stretches.to_at,
        attendance_spans.class,
        known.state != 'stopped' as is_run,
        known.is_long_stop or attendance_spans.class in ('attended', 'covered') as is_cut,
        date_diff('second', stretches.from_at, stretches.to_at) as wall_s
    from stretches
    asof inner join attendance_spans
        on
            stretches.machine_ix = attendance_spans.machine_ix
            and stretches.from_at >= attendance_spans.from_at
    asof inner join known
        on stretches.machine_ix = known.machine_ix and stretches.from_at >= known.from_at
    inner join merged_runs
        on
            stretches.machine_ix = merged_runs.machine_ix
            and stretches.from_at >= merged_runs.start_at
            and stretches.from_at < merged_runs.end_at
    where stretches.to_at is not null
),

numbered as (
    select
        *,
        count(*) filter (where is_cut) over (partition by run_ix order by from_at) as stretch_no
    from cells
),

summed as (
    select
        run_ix,
        machine_ix,
        stretch_no,
        min(from_at) as from_at,
        max(to_at) as to_at,
        sum(wall_s) as ran_s,
        coalesce(sum(wall_s) filter (where class = 'authorised'), 0) as authorised_s,
        coalesce(sum(wall_s) filter (where class = 'uncovered'), 0) as uncovered_s
    from numbered
    where is_run and not is_cut
    group by run_ix, machine_ix, stretch_no
)

select
    run_ix,
    machine_ix,
    from_at,
    to_at,
    cast(ran_s as bigint) as ran_s,
    cast(ran_s - authorised_s - uncovered_s as bigint) as unclassed_s,
    case
        when 3 * authorised_s >= 2 * ran_s then 'authorised'
        when 3 * uncovered_s >= 2 * ran_s then 'uncovered'
        when 3 * (authorised_s + uncovered_s) <= ran_s then 'not-assessable'
        else 'mixed'
    end as attendance
from summed

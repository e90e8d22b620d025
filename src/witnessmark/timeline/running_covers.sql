/*---
about = "one row per machine and stretch of running to which somebody, or nobody, was put throughout"
criteria = ["unallocated_least_min"]
sorted = ["machine_ix", "from_at"]
---
`cover`: somebody (allocated in any role to the machine, its group or area; a void planned allocation
counts nowhere), nobody, or not known (no staffing row at all for the area and shift). Stretches to
nobody of at most `unallocated_least_min` at a shift's edge are left out, and part nothing: what has
the same cover before and after one is one row. `attendance` is the class of at least two thirds of
the stretch, else mixed.
*/
with spans as (
    select
        machine_ix,
        'running' as what,
        from_at,
        to_at
    from running_states
    where state = 'running'
    union all
    select
        machine_ix,
        'allocated' as what,
        from_at,
        to_at
    from staffing_spans
    where not is_void
    union all
    select
        machine_ix,
        attendance_spans.class as what,
        from_at,
        to_at
    from attendance_spans
    union all
    select
        known_machines.machine_ix,
        'shift' as what,
        shift_spans.start_at as from_at,
        shift_spans.end_at as to_at
    from shift_spans
    inner join known_machines on shift_spans.area = known_machines.area
),

events as (
    select
        machine_ix,
        what,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from spans
),

moments as (
    select
        machine_ix,
        event_at,
        bool_or(what = 'shift') as is_edge,
        coalesce(sum(step) filter (where what = 'running'), 0) as running,
        count(*) filter (where what = 'running' and step = 1) as begun,
        coalesce(sum(step) filter (where what = 'allocated'), 0) as allocated,
        coalesce(sum(step) filter (where what = 'attended'), 0) as attended,
        coalesce(sum(step) filter (where what = 'covered'), 0) as covered,
        coalesce(sum(step) filter (where what = 'authorised'), 0) as authorised,
        coalesce(sum(step) filter (where what = 'uncovered'), 0) as uncovered
    from events
    group by machine_ix, event_at
),

swept as (
    select
        machine_ix,
        event_at as from_at,
        is_edge,
        lead(event_at) over in_time as to_at,
        lead(is_edge) over in_time as ends_at_edge,
        sum(running) over in_time > 0 as is_running,
        sum(begun) over in_time as running_no,
        case
            when sum(attended) over in_time > 0 then 'attended'
            when sum(covered) over in_time > 0 then 'covered'
            when sum(authorised) over in_time > 0 then 'authorised'
            when sum(uncovered) over in_time > 0 then 'uncovered'
            else 'not-assessable'
        end as class_then,
        sum(allocated) over in_time > 0 as is_allocated
    from moments
    window in_time as (partition by machine_ix order by event_at)
),

ran as (
    select
        *,
        date_diff('second', from_at, to_at) as wall_s,
        case
            when is_allocated then 'somebody'
            when class_then = 'not-assessable' then 'not known'
            else 'nobody'
        end as cover
    from swept
    where is_running and to_at is not null
),

compared as (
    select
        *,
        coalesce(
            cover = lag(cover) over (partition by machine_ix, running_no order by from_at), false
        ) as goes_on
    from ran
),

-- Parts end where cover changes and where shifts change.
parted as (
    select
        *,
        count(*) filter (where is_edge or not goes_on) over (
            partition by machine_ix, running_no order by from_at
        ) as part_no
    from compared
),

parts as (
    select
        machine_ix,
        running_no,
        part_no,
        min(from_at) as from_at,
        max(to_at) as to_at,
        min(cover) as cover,
        bool_or(is_edge) or arg_max(ends_at_edge, from_at) as is_at_edge,
        sum(wall_s) as wall_s,
        sum(case when class_then = 'attended' then wall_s else 0 end) as attended_s,
        sum(case when class_then = 'covered' then wall_s else 0 end) as covered_s,
        sum(case when class_then = 'authorised' then wall_s else 0 end) as authorised_s,
        sum(case when class_then = 'uncovered' then wall_s else 0 end) as uncovered_s
    from parted
    group by machine_ix, running_no, part_no
),

-- What is left out is skipped, so that the stretches around it meet.
kept as (
    select
        *,
        coalesce(
            cover = lag(cover) over (partition by machine_ix, running_no order by from_at), false
        ) as goes_on
    from parts
    where cover != 'nobody' or not is_at_edge or wall_s > $unallocated_least_s
),

numbered as (
    select
        *,
        count(*) filter (where not goes_on) over (
            partition by machine_ix, running_no order by from_at
        ) as stretch_no
    from kept
)

select
    machine_ix,
    min(from_at) as from_at,
    max(to_at) as to_at,
    min(cover) as cover,
    case
        when 3 * sum(attended_s) >= 2 * sum(wall_s) then 'attended'
        when 3 * sum(covered_s) >= 2 * sum(wall_s) then 'covered'
        when 3 * sum(authorised_s) >= 2 * sum(wall_s) then 'authorised'
        when 3 * sum(uncovered_s) >= 2 * sum(wall_s) then 'uncovered'
        when 3 * sum(attended_s + covered_s + authorised_s + uncovered_s) <= sum(wall_s)
            then 'not-assessable'
        else 'mixed'
    end as attendance
from numbered
group by machine_ix, running_no, stretch_no

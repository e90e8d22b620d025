/*---
about = "one row per machine and stretch of the same attendance class, decided by the same step"
criteria = []
sorted = ["machine_ix", "from_at"]
---
The class, the class had only the plan existed, and the class with qualification left aside; spans
cover the period and are as long as all of these stay the same. Steps 0 to 3 come from
`cover_cells`. Step 4 is decided here, because a permission may be limited in time: that is counted
from where nobody attended or covered any more, or from where a merged run began or ended, and where
it is over the stretch is split.
*/
with untended as (
    select
        *,
        list_transform(steps, lambda step: starts_with(step, '5')) as is_untended
    from cover_cells
),

followed as (
    select
        *,
        coalesce(
            lag(is_untended) over (partition by machine_ix order by from_at), [false, false, false]
        ) as was_untended
    from untended
),

begun as (
    select
        *,
        [
            max(case when is_untended[1] and (is_run_edge or not was_untended[1]) then from_at end)
                over in_time,
            max(case when is_untended[2] and (is_run_edge or not was_untended[2]) then from_at end)
                over in_time,
            max(case when is_untended[3] and (is_run_edge or not was_untended[3]) then from_at end)
                over in_time
        ] as since
    from followed
    window in_time as (
        partition by machine_ix order by from_at rows between unbounded preceding and current row
    )
),

limited as (
    select
        machine_ix,
        from_at,
        to_at,
        steps,
        is_untended,
        is_unmet,
        list_transform(
            [1, 2, 3],
            lambda i: case
                when is_untended[i] and has_watcher[i] then since[i] + to_seconds(watched_max_s)
                when is_untended[i] then since[i] + to_seconds(max_s)
            end
        ) as permitted_until
    from begun
),

split as (
    select
        machine_ix,
        steps,
        is_untended,
        is_unmet,
        permitted_until,
        unnest(
            list_distinct(
                list_filter(
                    list_append(permitted_until, from_at),
                    lambda instant: instant >= from_at and instant < to_at
                )
            )
        ) as from_at
    from limited
),

decided as (
    select
        machine_ix,
        from_at,
        list_transform(
            [1, 2, 3],
            lambda i: case
                when not is_untended[i] then steps[i]
                when permitted_until[i] > from_at then '4 authorised: permission'
                when permitted_until[i] is not null then '5 uncovered: longer than permitted'
                when is_unmet then '5 uncovered: a condition of the permission is not met'
                else steps[i]
            end
        ) as steps
    from split
),

classed as (
    select
        machine_ix,
        from_at,
        steps[1] as deciding_step,
        list_transform(
            steps,
            lambda step: case step[1]
                when '0' then 'not-assessable'
                when '2' then 'attended'
                when '3' then 'covered'
                when '4' then 'authorised'
                else 'uncovered'
            end
        ) as classes
    from decided
),

clipped as (
    select
        classed.*,
        period.ends_at
    from classed
    inner join period on classed.from_at >= period.starts_at and classed.from_at < period.ends_at
),

compared as (
    select
        *,
        lag(deciding_step) over in_time as last_step,
        lag(classes) over in_time as last_classes
    from clipped
    window in_time as (partition by machine_ix order by from_at)
),

changes as (
    select
        *,
        coalesce(lead(from_at) over (partition by machine_ix order by from_at), ends_at) as to_at
    from compared
    where
        deciding_step is distinct from last_step
        or classes is distinct from last_classes
),

named as (
    select
        machine_ix,
        from_at,
        to_at,
        deciding_step,
        classes[1] as class, -- noqa: RF04
        classes[2] as class_planned_only,
        classes[3] as class_without_qualification
    from changes
)

select
    machine_ix,
    from_at,
    to_at,
    class,
    deciding_step,
    class_planned_only,
    class_without_qualification
from named

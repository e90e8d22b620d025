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
with followed as (
    select
        *,
        coalesce(lag(steps) over (partition by machine_ix order by from_at), [0, 0, 0]) as last_steps
    from cover_cells
),

begun as (
    select
        *,
        [
            max(case when steps[1] >= 50 and (is_run_edge or last_steps[1] < 50) then from_at end)
                over in_time,
            max(case when steps[2] >= 50 and (is_run_edge or last_steps[2] < 50) then from_at end)
                over in_time,
            max(case when steps[3] >= 50 and (is_run_edge or last_steps[3] < 50) then from_at end)
                over in_time
        ] as since
    from followed
    window in_time as (
        partition by machine_ix order by from_at rows between unbounded preceding and current row
    )
),

untended as (
    select
        begun.*,
        permission_spans.is_unmet,
        permission_spans.max_s,
        permission_spans.watched_max_s
    from begun
    inner join permission_spans on begun.permission_ix = permission_spans.permission_ix
    where begun.steps[1] >= 50 or begun.steps[2] >= 50 or begun.steps[3] >= 50
),

permitted as (
    select
        machine_ix,
        from_at,
        to_at,
        steps,
        is_unmet,
        list_transform(
            [1, 2, 3],
            lambda i: case
                when steps[i] >= 50 and has_watcher[i] then since[i] + to_seconds(watched_max_s)
                when steps[i] >= 50 then since[i] + to_seconds(max_s)
            end
        ) as permitted_until
    from untended
),

split as (
    select
        machine_ix,
        steps,
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
    from permitted
),

decided as (
    select
        machine_ix,
        from_at,
        list_transform(
            [1, 2, 3],
            lambda i: case
                when steps[i] < 50 then steps[i]
                when permitted_until[i] > from_at then 40
                when permitted_until[i] is not null then 57
                when is_unmet then 56
                else steps[i]
            end
        ) as steps
    from split
    union all
    select
        begun.machine_ix,
        begun.from_at,
        begun.steps
    from begun
    anti join permitted
        on begun.machine_ix = permitted.machine_ix and begun.from_at = permitted.from_at
),

clipped as (
    select
        decided.machine_ix,
        decided.from_at,
        period.ends_at,
        -- Beside the deciding step only the class counts, the step's first digit.
        [decided.steps[1], decided.steps[2] // 10, decided.steps[3] // 10] as steps
    from decided
    inner join period on decided.from_at >= period.starts_at and decided.from_at < period.ends_at
),

compared as (
    select
        *,
        lag(steps) over (partition by machine_ix order by from_at) as last_steps
    from clipped
),

changes as (
    select
        machine_ix,
        from_at,
        steps[1] as step,
        steps[1] // 10 as recorded,
        steps[2] as planned,
        steps[3] as unqualified,
        coalesce(lead(from_at) over (partition by machine_ix order by from_at), ends_at) as to_at
    from compared
    where steps is distinct from last_steps
),

-- The words; a step's first digit is its class.
steps as (
    select
        unnest([0, 20, 21, 22, 30, 40, 50, 51, 52, 53, 54, 55, 56, 57]) as step,
        unnest(
            [
                '0 no staffing row for the area and shift',
                '2 attended: machine allocation',
                '2 attended: group allocation',
                '2 attended: group, no number documented',
                '3 covered: watcher',
                '4 authorised: permission',
                '5 uncovered: more machines running than the group may have',
                '5 uncovered: watcher beyond the number of machines',
                '5 uncovered: no rule allows watching',
                '5 uncovered: present, not qualified',
                '5 uncovered: allocated, not present or on a break',
                '5 uncovered: nobody allocated',
                '5 uncovered: a condition of the permission is not met',
                '5 uncovered: longer than permitted'
            ]
        ) as deciding_step
),

classes as (
    select
        unnest([0, 2, 3, 4, 5]) as digit,
        unnest(['not-assessable', 'attended', 'covered', 'authorised', 'uncovered']) as word
)

select
    changes.machine_ix,
    changes.from_at,
    changes.to_at,
    recorded.word as class, -- noqa: RF04
    steps.deciding_step,
    planned.word as class_planned_only,
    unqualified.word as class_without_qualification
from changes
inner join steps on changes.step = steps.step
inner join classes as recorded on changes.recorded = recorded.digit
inner join classes as planned on changes.planned = planned.digit
inner join classes as unqualified on changes.unqualified = unqualified.digit

/*---
about = "one row per allocation and stretch in which nothing about it changes"
criteria = []
sorted = ["place", "from_at", "allocation_ix"]
---
Who was put to which place, and what is to be known about it at that time. `allocation_ix` is
`allocations.row_ix`; an allocation to a group of several processes has rows for each.

`is_void`: a planned allocation while the same person has an actual one, which then counts instead.
`is_present`: clocked in (a person without any clocked stay counts as present) and not on a planned
break of the area; a break with a relief rule takes nobody away, and who relieves works through it.
`is_qualified`: the level held that day is at least the one required that day; nothing required, no
process on record or no qualifications at all: qualified. `attends`: present, in a role that
attends; a trainee never does by themselves, a watcher only covers. The last three columns are the
three readings of the board: as recorded (actual before planned), as if only the plan existed, and
as recorded with qualification left aside.

An allocation without an end lasts until the shift ends in which it began, else to the end of that
day.
*/
with places as (
    select
        place,
        place_kind,
        process,
        min(area) over (partition by place) as area
    from machine_places
),

place_processes as (
    select distinct
        place,
        place_kind,
        process
    from places
),

place_areas as (
    select distinct
        place,
        area
    from places
),

started as (
    select
        allocations.row_ix as allocation_ix,
        allocations.person_key,
        allocations.machine_or_group as place,
        allocations.role,
        allocations.basis,
        allocations.start_at as from_at,
        allocations.end_at as to_at,
        place_areas.area
    from allocations
    left join place_areas on allocations.machine_or_group = place_areas.place
    where allocations.start_at is not null
),

ended as (
    select
        started.* replace (
            coalesce(
                started.to_at,
                case when shift_spans.end_at > started.from_at then shift_spans.end_at end,
                utc_time(cast(local_date(started.from_at) + 1 as timestamp))
            ) as to_at
        )
    from started
    asof left join shift_spans
        on started.area = shift_spans.area and started.from_at >= shift_spans.start_at
),

allocated as (
    select * from ended
    where from_at < to_at
),

stays as (
    select
        attendances.person_key,
        attendances.in_at as from_at,
        coalesce(
            attendances.out_at,
            lead(attendances.in_at) over (
                partition by attendances.person_key order by attendances.in_at
            ),
            period.ends_at
        ) as to_at
    from attendances
    cross join period
    where attendances.in_at is not null
),

-- What bears on an allocation through its person or its area. The two meet by the day, so that no
-- two large tables ever meet by range alone.
bearings as (
    select
        'stay' as what,
        person_key as subject,
        from_at,
        to_at
    from stays
    union all
    select
        'actual' as what,
        person_key as subject,
        from_at,
        to_at
    from allocated
    where basis = 'actual'
    union all
    select
        'break' as what,
        area as subject,
        start_at as from_at,
        end_at as to_at
    from planned_breaks
    where relief_rule is null
),

bearing_days as (
    select
        *,
        unnest(range(cast(from_at as date), cast(to_at as date) + 1, interval 1 day)) as met_on
    from bearings
    where from_at < to_at
),

subjects as (
    select
        'stay' as what,
        person_key as subject,
        *
    from allocated
    union all
    select
        'actual' as what,
        person_key as subject,
        *
    from allocated
    where basis = 'planned'
    union all
    select
        'break' as what,
        area as subject,
        *
    from allocated
    where role <> 'relief'
),

subject_days as (
    select
        *,
        unnest(range(cast(from_at as date), cast(to_at as date) + 1, interval 1 day)) as met_on
    from subjects
),

met as (
    select
        subject_days.allocation_ix,
        bearing_days.what,
        bearing_days.from_at,
        bearing_days.to_at
    from subject_days
    inner join bearing_days
        on
            subject_days.what = bearing_days.what
            and subject_days.subject = bearing_days.subject
            and subject_days.met_on = bearing_days.met_on
            and subject_days.from_at < bearing_days.to_at
            and subject_days.to_at > bearing_days.from_at
    -- Two that share several days meet once, on the first.
    where
        subject_days.met_on = case
            when subject_days.from_at > bearing_days.from_at then cast(subject_days.from_at as date)
            else cast(bearing_days.from_at as date)
        end
),

by_process as (
    select
        allocated.*,
        place_processes.process,
        place_processes.place_kind
    from allocated
    inner join place_processes on allocated.place = place_processes.place
),

spans as (
    select
        allocation_ix,
        process,
        'allocation' as what,
        from_at,
        to_at
    from by_process
    union all
    select
        by_process.allocation_ix,
        by_process.process,
        met.what,
        met.from_at,
        met.to_at
    from by_process
    inner join met on by_process.allocation_ix = met.allocation_ix
    union all
    select
        by_process.allocation_ix,
        by_process.process,
        'lacking' as what,
        lacking_spans.from_at,
        lacking_spans.to_at
    from by_process
    inner join lacking_spans
        on
            by_process.person_key = lacking_spans.person_key
            and by_process.process = lacking_spans.process
            and by_process.role = lacking_spans.role
            and by_process.from_at < lacking_spans.to_at
            and by_process.to_at > lacking_spans.from_at
),

events as (
    select
        allocation_ix,
        process,
        what,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from spans
),

moments as (
    select
        allocation_ix,
        process,
        event_at,
        sum(step) filter (where what = 'allocation') as allocations,
        sum(step) filter (where what = 'actual') as actuals,
        sum(step) filter (where what = 'stay') as stays,
        sum(step) filter (where what = 'break') as breaks,
        sum(step) filter (where what = 'lacking') as lackings
    from events
    group by allocation_ix, process, event_at
),

swept as (
    select
        allocation_ix,
        process,
        event_at as from_at,
        lead(event_at) over in_time as to_at,
        coalesce(sum(allocations) over in_time, 0) > 0 as is_allocated,
        coalesce(sum(actuals) over in_time, 0) > 0 as is_void,
        coalesce(sum(stays) over in_time, 0) > 0 as is_clocked,
        coalesce(sum(breaks) over in_time, 0) > 0 as is_on_break,
        coalesce(sum(lackings) over in_time, 0) > 0 as is_lacking
    from moments
    window in_time as (partition by allocation_ix, process order by event_at)
),

judged as (
    select
        swept.allocation_ix,
        swept.process,
        swept.from_at,
        swept.to_at,
        swept.is_void,
        by_process.person_key,
        by_process.role,
        by_process.basis,
        by_process.place,
        by_process.place_kind,
        not swept.is_on_break
        and (
            swept.is_clocked
            or by_process.person_key not in (select attendances.person_key from attendances)
        ) as is_present,
        not swept.is_lacking as is_qualified
    from swept
    inner join by_process
        on
            swept.allocation_ix = by_process.allocation_ix
            and swept.process is not distinct from by_process.process
    where swept.is_allocated
),

attending as (
    select
        *,
        is_present and role in ('operator', 'setter', 'leader', 'relief') as attends
    from judged
)

select
    allocation_ix,
    person_key,
    role,
    basis,
    place,
    place_kind,
    process,
    from_at,
    to_at,
    is_void,
    is_present,
    is_qualified,
    attends,
    attends and is_qualified and not is_void as attends_recorded,
    attends and is_qualified and basis = 'planned' as attends_planned,
    attends and not is_void as attends_unqualified
from attending

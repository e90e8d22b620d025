/*---
about = "one row per allocation that reaches outside its person's attendance"
criteria = []
sorted = ["allocation_ix"]
---
The longest stretch of an allocation, as far as it counts, in which its person was not clocked in. A
stay without an end may have lasted until the next one began: `outside_s` takes it for that long,
`unsure_s` does not take it at all. A stretch that lies within a planned break of the area, give or
take the tolerance of the clocks, is no absence. Persons without any clocked stay are not here.
*/
with clocked as (
    select
        person_key,
        arg_min(clock, in_at) as clock
    from attendances
    group by person_key
),

ended as (
    select
        person_key,
        in_at,
        out_at,
        lead(in_at) over (partition by person_key order by in_at) as next_in_at
    from attendances
    where in_at is not null
),

stays as (
    select
        'unsure' as what,
        person_key,
        in_at as from_at,
        out_at as to_at
    from ended
    where out_at is not null
    union all
    select
        'outside' as what,
        person_key,
        in_at as from_at,
        coalesce(out_at, next_in_at, timestamp '9999-12-31') as to_at
    from ended
),

stretches as (
    select
        allocation_ix,
        stretch_no,
        person_key,
        area,
        clock,
        from_at,
        to_at
    from counted_allocations
    where from_at < to_at
),

ends as (
    select
        allocation_ix,
        stretch_no,
        from_at as end_at
    from stretches
    union all
    select
        allocation_ix,
        stretch_no,
        to_at as end_at
    from stretches
),

presences as (
    select
        stretches.allocation_ix,
        stretches.stretch_no,
        stays.what,
        stays.from_at,
        stays.to_at
    from stretches
    inner join stays
        on
            stretches.person_key = stays.person_key
            and stretches.from_at < stays.to_at
            and stretches.to_at > stays.from_at
    union all
    select
        allocation_ix,
        stretch_no,
        unnest(['unsure', 'outside']) as what,
        end_at as from_at,
        end_at as to_at
    from ends
),

-- Between the latest end so far and the next beginning nobody is there.
absences as (
    select
        allocation_ix,
        stretch_no,
        what,
        from_at as to_at,
        max(to_at) over (
            partition by allocation_ix, stretch_no, what
            order by from_at, to_at
            rows between unbounded preceding and 1 preceding
        ) as from_at
    from presences
),

measured as (
    select
        stretches.allocation_ix,
        stretches.area,
        absences.what,
        absences.from_at,
        absences.to_at,
        tolerance_s(stretches.clock, clocked.clock) as tolerance
    from absences
    inner join stretches
        on
            absences.allocation_ix = stretches.allocation_ix
            and absences.stretch_no = stretches.stretch_no
    inner join clocked on stretches.person_key = clocked.person_key
    where absences.from_at < absences.to_at
)

select
    measured.allocation_ix,
    max(measured.tolerance) as tolerance,
    max(date_diff('second', measured.from_at, measured.to_at)) filter (
        where measured.what = 'outside'
    ) as outside_s,
    max(date_diff('second', measured.from_at, measured.to_at)) filter (
        where measured.what = 'unsure'
    ) as unsure_s
from measured
left join planned_breaks
    on
        measured.area = planned_breaks.area
        and cast(measured.from_at as date) = cast(planned_breaks.start_at as date)
        and date_diff('second', measured.from_at, planned_breaks.start_at) <= measured.tolerance
        and date_diff('second', planned_breaks.end_at, measured.to_at) <= measured.tolerance
where planned_breaks.area is null
group by measured.allocation_ix

/*---
about = "one row per stretch in which a gauge was not in date"
criteria = ["gauge_grace_days"]
sorted = ["gauge_id", "from_at", "reason"]
---
The few, not the many: a use of a gauge that lies in no row was in date.

A calibration that found the gauge in serves from the start of its day to the end of the due day in
the plant's zone, or to the next calibration, whichever comes first. Without a due date the gauge's
own interval serves; without that the calibration lasts. `overdue` is the time from there to the
next calibration. `found-out` is the time from a calibration that found the gauge out to the next
one that found it in (what lies before such a finding is the matter of `suspect_windows`).
`before-first` is the time before a gauge's first known calibration, and all time of a registered
gauge without any: the history was not kept, so nobody can say.

A stretch without beginning starts in the year 1, one without end stops in the year 9999.
*/
with verdicts as (
    select
        calibrations.gauge_id,
        calibrations.done_on,
        coalesce(calibrations.verdict, 'in') = 'out' as is_out,
        coalesce(
            calibrations.next_due, calibrations.done_on + cast(gauges.interval_d as integer)
        ) as due_on
    from calibrations
    left join gauges on calibrations.gauge_id = gauges.gauge_id
    where calibrations.done_on is not null
),

numbered as (
    select
        *,
        due_on + cast($gauge_grace_days as integer) + 1 as lapses_on,
        lag(is_out) over (partition by gauge_id order by done_on) as was_out,
        lead(done_on) over (partition by gauge_id order by done_on) as next_on,
        min(done_on) filter (where not is_out) over (
            partition by gauge_id
            order by done_on
            rows between 1 following and unbounded following
        ) as next_in_on
    from verdicts
),

gaps as (
    select
        gauge_id,
        'overdue' as reason,
        next_on as to_on,
        done_on as calibrated_on,
        due_on,
        -- A due date before the calibration itself leaves it no day at all.
        case when lapses_on > done_on then lapses_on else done_on end as from_on
    from numbered
    where not is_out and due_on is not null
    union all
    select
        gauge_id,
        'found-out' as reason,
        next_in_on as to_on,
        done_on as calibrated_on,
        null as due_on,
        done_on as from_on
    from numbered
    where is_out and not coalesce(was_out, false)
    union all
    select
        gauge_id,
        'before-first' as reason,
        min(done_on) as to_on,
        null as calibrated_on,
        null as due_on,
        null as from_on
    from numbered
    group by gauge_id
    union all
    select
        gauges.gauge_id,
        'before-first' as reason,
        null as to_on,
        null as calibrated_on,
        null as due_on,
        null as from_on
    from gauges
    where gauges.gauge_id not in (select numbered.gauge_id from numbered)
)

select
    gauge_id,
    reason,
    calibrated_on,
    due_on,
    coalesce(utc_time(cast(from_on as timestamp)), timestamp '0001-01-01') as from_at,
    coalesce(utc_time(cast(to_on as timestamp)), timestamp '9999-12-31') as to_at
from gaps
where from_on is null or to_on is null or from_on < to_on

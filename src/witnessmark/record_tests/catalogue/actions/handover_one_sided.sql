/*---
finding = "A change of shift has no handover on record, or one side of it only."
says = "Area {area}, change of {change_at}: {grounds}."
needs = ["shift_instances", "handovers"]
criteria = ["handover_window_min"]
clauses = ["A 5.3.2", "A 9.2.2.3", "Q 7.4"]
pattern = "depends"
strata = ["area", "shift"]
key = ["area", "change_at"]
since = "0.1"

[uses]
attendances = "Whether outgoing and incoming met is not looked at: no attendances were given."
outputs = "Production is known from machine records alone: no outputs were given."
runs = "Production is known from other records alone: no runs were given."
---
## What it tests
Whether each change between two shifts that produced has a handover on record near its time, signed
from both sides, and whether the incoming side came before the outgoing one left.

## Why it matters
It may have been spoken and not written: be there and listen. Where it is missing, nobody can show
who was answerable for the area in between.

## Population
Every change of shift in an area with production on both sides. Its ref is area and time of change.
A change after a pause, or without production on one side, is not applicable.

## Not assessable
- No record says whether a side produced.
- The data end before the time for the handover is over.

## Traps
- Twelve-hour weekends change at other times: the shifts on record decide.
- A start after a standstill is no change of shift: see restart-unverified.
- The time of the entry is when it was started, else the time of change.

## Ask next
Be at the next change ten minutes before and stay for twenty. Who had the hall between the last one
leaving and the first one coming?

## Source
Answerability on every shift: IATF 16949:2016 5.3.2; handovers sampled: 9.2.2.3; communication: ISO
9001:2015 7.4 (memory). Thirty minutes on both sides: common practice, no source.
*/
with

changes as (
    select
        shift_changes.area,
        shift_changes.change_at,
        coming.shift,
        coming.shift_ix,
        going.end_at as out_end_at,
        made_before.produced as produced_before,
        made_after.produced as produced_after,
        date_diff('second', going.end_at, shift_changes.change_at) > $handover_window_s
        or going.end_at is null as is_pause
    from shift_changes
    inner join shift_spans as coming
        on shift_changes.area = coming.area and shift_changes.change_at = coming.start_at
    left join shift_spans as going
        on shift_changes.area = going.area and shift_changes.out_start_at = going.start_at
    left join shift_production as made_before on going.shift_ix = made_before.shift_ix
    left join shift_production as made_after on coming.shift_ix = made_after.shift_ix
),

entries as (
    select
        changes.area,
        changes.change_at,
        handovers.outgoing,
        handovers.incoming,
        handovers.clock
    from changes
    inner join handovers on changes.area = handovers.area
    where
        abs(date_diff('second', changes.change_at, coalesce(handovers.started_at, handovers.change_at)))
        <= $handover_window_s
),

left_at as (
    select
        entries.area,
        entries.change_at,
        max(attendances.out_at) as out_at
    from entries
    inner join attendances
        on entries.outgoing = attendances.person_key and attendances.in_at < entries.change_at
    where abs(date_diff('second', entries.change_at, attendances.out_at)) <= 4 * $handover_window_s
    group by entries.area, entries.change_at
),

came_at as (
    select
        entries.area,
        entries.change_at,
        min(attendances.in_at) as in_at,
        max(tolerance_s(attendances.clock, attendances.clock)) as tolerance
    from entries
    inner join attendances on entries.incoming = attendances.person_key
    where abs(date_diff('second', entries.change_at, attendances.in_at)) <= 4 * $handover_window_s
    group by entries.area, entries.change_at
),

judged as (
    select
        changes.*,
        coalesce(sides.n, 0) as n_entries,
        coalesce(sides.n_both, 0) as n_both,
        date_diff('second', left_at.out_at, came_at.in_at) as gap_s,
        came_at.tolerance
    from changes
    left join (
        select
            area,
            change_at,
            count(*) as n,
            count(*) filter (where outgoing is not null and incoming is not null) as n_both
        from entries
        group by area, change_at
    ) as sides using (area, change_at)
    left join left_at using (area, change_at)
    left join came_at using (area, change_at)
)

select
    judged.area,
    judged.change_at,
    judged.shift,
    shift_spans.area || '/' || shift_spans.production_date || '/' || shift_spans.shift as shift_ref,
    case
        when judged.n_entries = 0 then 'no handover is on record'
        when judged.n_both = 0 then 'the handover names one side only'
        when judged.gap_s > judged.tolerance then 'the outgoing side left before the incoming one came'
    end as grounds,
    coalesce(abs(judged.gap_s - judged.tolerance) <= 2 * judged.tolerance, false) as fragile,
    case
        when judged.is_pause then 'no shift directly before it'
        when not judged.produced_before or not judged.produced_after then 'no production on one side'
    end as not_applicable,
    case
        when judged.produced_before is null or judged.produced_after is null then 'state unknown'
        when judged.n_entries = 0
            and date_diff('second', judged.change_at, period.ends_at) < $handover_window_s
            then 'window still open'
    end as not_assessable,
    case
        when judged.produced_before is null or judged.produced_after is null then null
        when judged.n_entries = 0
            and date_diff('second', judged.change_at, period.ends_at) < $handover_window_s then null
        else judged.n_both = 0 or coalesce(judged.gap_s > judged.tolerance, false)
    end as exception
from judged
cross join period
left join shift_spans using (shift_ix)

/*---
finding = "At a change of shift with production on both sides the records show no handover between two sides."
says = "Area {area}, change of shift at {change_at} from {outgoing_shift} to {shift}: {ground}."
needs = ["handovers.outgoing", "handovers.incoming", "shift_instances", "outputs|machine_states|runs"]
criteria = ["handover_window_min"]
clauses = ["Q 7.4", "A 5.3.2", "A 9.2.2.3"]
pattern = "depends"
strata = ["area", "shift", "day_class", "ground"]
key = ["area", "change_at"]
since = "0.1"

[uses]
attendances = "Whether the outgoing side left before the incoming side came is not looked for: no attendance was given."
---
## What it tests
Whether each change of shift has a handover entry near it, with an outgoing and an incoming side,
and whether the incoming side was there before the outgoing side left.

## Why it matters
Much is said and little is written at a handover: no entry may mean no more than that. But where one
side is missing, nobody on record was told what runs, what waits and what is on hold.

## Population
Each change from one shift of an area to the next (a shift that starts within the handover window of
another one's end) with production in both. Its ref is area and start of the incoming shift. Changes
without production on one of the sides are not applicable: a start after a shutdown asks for a
verified restart, not for a handover.

## Not assessable
- Nobody can tell whether there was production on both sides.
- An entry of the area has no certain time (the repeated hour in autumn).
- One of the two sides has no attendance around the change, or did not clock out.
- The window around the change runs past the end of the data.

## Traps
- The time of an entry is its start, where that is not recorded the change it names.
- Twelve-hour weekend patterns: changes are taken from the shift calendar as it was worked.
- A gap counts beyond the tolerance of the clocks; up to three times that it is fragile.
- An area with a day shift beside others has changes only where one shift starts as another ends.

## Ask next
Who had the hall between 13:22 and 13:36? May we stand by from ten minutes before the change to
twenty after it?

## Source
Communication: ISO 9001:2015 7.4; responsibility on all shifts: IATF 16949:2016 5.3.2; sampling of
handovers in audits: 9.2.2.3 (memory). Thirty minutes: common practice, no source.
*/
with shifts as (
    select
        shift_spans.*,
        shift_production.produced
    from shift_spans
    left join shift_production on shift_spans.shift_ix = shift_production.shift_ix
),

changes as (
    select
        incoming.area,
        incoming.start_at as change_at,
        incoming.production_date,
        incoming.shift,
        incoming.end_at as incoming_end_at,
        outgoing.shift as outgoing_shift,
        outgoing.start_at as outgoing_start_at,
        outgoing.produced and incoming.produced as produced
    from shifts as incoming
    inner join shifts as outgoing
        on
            incoming.area = outgoing.area
            and incoming.shift_ix <> outgoing.shift_ix
            and abs(date_diff('second', outgoing.end_at, incoming.start_at)) <= $handover_window_s
    qualify
        row_number() over (
            partition by incoming.area, incoming.start_at
            order by
                abs(date_diff('second', outgoing.end_at, incoming.start_at)),
                outgoing.shift_ix,
                incoming.shift_ix
        ) = 1
),

entries as (
    select
        area,
        outgoing,
        incoming,
        row_ix,
        coalesce(started_at, change_at) as entry_at,
        tolerance_s(clock, clock) as entry_tolerance_s
    from handovers
),

timeless as (
    select distinct area
    from entries
    where entry_at is null
),

nearest as (
    select
        changes.*,
        entries.entry_at,
        entries.outgoing,
        entries.incoming,
        entries.entry_tolerance_s,
        abs(date_diff('second', changes.change_at, entries.entry_at)) as distance_s
    from changes
    left join entries
        on
            changes.area = entries.area
            and abs(date_diff('second', changes.change_at, entries.entry_at))
            <= $handover_window_s + 2 * entries.entry_tolerance_s
    qualify
        row_number() over (
            partition by changes.area, changes.change_at
            order by
                abs(date_diff('second', changes.change_at, entries.entry_at)) > $handover_window_s,
                entries.outgoing is null or entries.incoming is null,
                abs(date_diff('second', changes.change_at, entries.entry_at)),
                entries.row_ix
        ) = 1
),

leaving as (
    select
        nearest.area,
        nearest.change_at,
        arg_max(
            { 'out_at': attendances.out_at, 'clock': attendances.clock }, attendances.in_at
        ) as stay
    from nearest
    inner join attendances
        on
            nearest.outgoing = attendances.person_key
            and nearest.change_at >= attendances.in_at
            and nearest.outgoing_start_at < coalesce(attendances.out_at, timestamp '9999-12-31')
    group by nearest.area, nearest.change_at
),

coming as (
    select
        nearest.area,
        nearest.change_at,
        arg_min(
            { 'in_at': attendances.in_at, 'clock': attendances.clock }, attendances.in_at
        ) as stay
    from nearest
    inner join attendances
        on
            nearest.incoming = attendances.person_key
            and nearest.incoming_end_at > attendances.in_at
            and nearest.change_at < coalesce(attendances.out_at, timestamp '9999-12-31')
    group by nearest.area, nearest.change_at
),

clocked as (select count(*) > 0 as is_given from attendances),

measured as (
    select
        nearest.*,
        clocked.is_given as has_attendance,
        timeless.area is not null as has_timeless,
        nearest.change_at + to_seconds($handover_window_s) > period.ends_at as is_open,
        coalesce(nearest.distance_s <= $handover_window_s, false) as has_entry,
        date_diff('second', leaving.stay.out_at, coming.stay.in_at) as gap_s,
        tolerance_s(leaving.stay.clock, coming.stay.clock) as gap_tolerance_s
    from nearest
    cross join period
    cross join clocked
    left join timeless on nearest.area = timeless.area
    left join leaving on nearest.area = leaving.area and nearest.change_at = leaving.change_at
    left join coming on nearest.area = coming.area and nearest.change_at = coming.change_at
),

grounded as (
    select
        *,
        case
            when not has_entry and not has_timeless and not is_open then 'no entry within the window'
            when not has_entry then null
            when outgoing is null and incoming is null then 'an entry with neither side'
            when outgoing is null then 'an entry without an outgoing side'
            when incoming is null then 'an entry without an incoming side'
            when has_attendance and gap_s > gap_tolerance_s
                then 'the outgoing side left before the incoming side came'
        end as ground
    from measured
)

select
    area,
    change_at,
    outgoing_shift,
    shift,
    gap_s,
    ground,
    area || '/' || production_date || '/' || shift as shift_ref,
    case when isodow(production_date) >= 6 then 'weekend' else 'weekday' end as day_class,
    case when not produced then 'no production on both sides' end as not_applicable,
    case
        when ground is not null and produced then null
        when not has_entry and has_timeless then 'time ambiguous'
        when has_entry and has_attendance and gap_s is null then 'time missing'
        when produced is null then 'state unknown'
        when not has_entry and is_open then 'window still open'
    end as not_assessable,
    case
        when produced is null then null
        when ground is not null then true
        when has_entry and (not has_attendance or gap_s is not null) then false
    end as exception,
    coalesce(abs(distance_s - $handover_window_s) <= 2 * entry_tolerance_s, false)
    or coalesce(gap_s > 0 and gap_s <= 3 * gap_tolerance_s, false) as fragile
from grounded

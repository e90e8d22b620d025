/*---
finding = "A shift produced with nobody present, by the records, who could stop, release or decide on product."
says = "Area {area}, {production_date}, shift {shift} ({start_at} to {end_at}): nobody on record as present for at least half of it held the authority for {lacking}."
needs = ["shift_instances", "attendances", "authorities", "outputs|machine_states|runs"]
criteria = []
clauses = ["A 5.3.2"]
pattern = "systemic"
strata = ["area", "shift", "day_class", "overtime"]
key = ["area", "production_date", "shift"]
basis = "allocations"
since = "0.1"
---
## What it tests
Whether on each shift with production somebody was present who could stop production, somebody who
could release a set-up, and somebody who could decide on product on hold.

## Why it matters
The authority may well be a telephone call away, by a written rule. Where it is not, a machine that
makes doubtful pieces runs on until somebody comes, and a hold waits or is lifted by nobody in
particular.

## Population
Each shift of an area with production. Its ref is area, production day and shift. Each of the three
authorities is to be held by one person who is present for at least half of the shift; it may be one
person for all of them. Presence of several persons does not add up. A shift without production is
not applicable.

## Not assessable
- Nobody can tell whether the shift produced.
- A holder of the missing authority has no attendance at all on record, did not clock out, or has an
  uncertain time, and could have been there.

## Traps
- On call is not present, unless a rule says so: ask for it.
- The authority is that of the area itself; one person for two halls needs it in both.
- A delegate on leave holds the authority and is not there.
- Managers often do not clock in: they come out as not assessable, never as absent.
- Authorities count as they were on the day on which the shift began.

## Ask next
Who may release this hold now? Have you ever stopped the machines, and what happened then? Which
number would you call on a Sunday?

## Source
Responsibility and authority for product, on all shifts: IATF 16949:2016 5.3.2 (memory). Half of the
shift: common practice, no source.
*/
with shifts as (
    select
        shift_spans.*,
        shift_production.produced,
        unnest(['stop', 'release', 'disposition']) as kind
    from shift_spans
    inner join shift_production on shift_spans.shift_ix = shift_production.shift_ix
),

holders as (
    select distinct
        shifts.shift_ix,
        shifts.kind,
        shifts.start_at,
        shifts.end_at,
        shifts.length_s,
        authorities.person_key
    from shifts
    inner join authorities
        on
            shifts.area = authorities.area
            and shifts.kind = authorities.kind
            and local_date(shifts.start_at) >= authorities.valid_from
            and local_date(shifts.start_at) <= coalesce(authorities.valid_to, date '9999-12-31')
),

clocked as (
    select
        person_key,
        bool_or(in_at is null) as is_uncertain
    from attendances
    group by person_key
),

stays as (
    select
        holders.shift_ix,
        holders.kind,
        holders.person_key,
        attendances.out_at is null as is_open,
        date_diff(
            'second',
            case when attendances.in_at > holders.start_at then attendances.in_at else holders.start_at end,
            case when attendances.out_at < holders.end_at then attendances.out_at else holders.end_at end
        ) as present_s
    from holders
    inner join attendances
        on
            holders.person_key = attendances.person_key
            and holders.end_at > attendances.in_at
            and holders.start_at < coalesce(attendances.out_at, timestamp '9999-12-31')
),

presences as (
    select
        holders.shift_ix,
        holders.kind,
        holders.person_key,
        holders.length_s,
        clocked.person_key is null or clocked.is_uncertain as is_uncertain,
        coalesce(sum(stays.present_s) filter (where not stays.is_open), 0) as sure_s,
        coalesce(sum(stays.present_s), 0) as possible_s
    from holders
    left join clocked on holders.person_key = clocked.person_key
    left join stays
        on
            holders.shift_ix = stays.shift_ix
            and holders.kind = stays.kind
            and holders.person_key = stays.person_key
    group by
        holders.shift_ix, holders.kind, holders.person_key, holders.length_s,
        clocked.person_key, clocked.is_uncertain
),

best as (
    select
        shift_ix,
        kind,
        max(sure_s) as sure_s,
        max(case when is_uncertain then length_s else possible_s end) as possible_s
    from presences
    group by shift_ix, kind
),

judged as (
    select
        shifts.shift_ix,
        min(coalesce(best.sure_s, 0)) as measured,
        string_agg(shifts.kind, ', ' order by shifts.kind) filter (
            where 2 * coalesce(best.possible_s, 0) < shifts.length_s
        ) as lacking,
        bool_and(2 * coalesce(best.sure_s, 0) >= shifts.length_s) as is_held
    from shifts
    left join best on shifts.shift_ix = best.shift_ix and shifts.kind = best.kind
    group by shifts.shift_ix
)

select
    shift_spans.area,
    shift_spans.production_date,
    shift_spans.shift,
    shift_spans.start_at,
    shift_spans.end_at,
    judged.lacking,
    judged.measured,
    shift_spans.length_s // 2 as allowed,
    shift_spans.shift_ref,
    tolerance_s(null, null) as tolerance,
    case when shift_spans.overtime then 'overtime' else 'regular' end as overtime,
    case when isodow(shift_spans.production_date) >= 6 then 'weekend' else 'weekday' end as day_class,
    case when not shift_production.produced then 'no production on record' end as not_applicable,
    case
        when judged.lacking is null and not judged.is_held then 'time missing'
        when shift_production.produced is null then 'state unknown'
    end as not_assessable,
    case
        when shift_production.produced is null then null
        when judged.lacking is not null then true
        when judged.is_held then false
    end as exception
from judged
inner join shift_spans on judged.shift_ix = shift_spans.shift_ix
inner join shift_production on judged.shift_ix = shift_production.shift_ix

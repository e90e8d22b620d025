/*---
finding = "Nobody who may stop, release or decide on product is shown to have been there in a shift."
says = "Area {area}, shift {shift} of {production_date}: nobody present for half of it holds authority to {missing}."
needs = ["shift_instances", "authorities", "attendances|allocations"]
criteria = []
clauses = ["A 5.3.2"]
pattern = "systemic"
strata = ["area", "shift", "day_class"]
key = ["area", "production_date", "shift"]
basis = "allocations"
since = "0.1"

[uses]
attendances = "Presence is taken from allocations: no attendances were given."
allocations = "Who works where is not known from allocations: none were given."
outputs = "Production is known from machine records alone: no outputs were given."
runs = "Production is known from other records alone: no runs were given."
---
## What it tests
Whether in every shift with production somebody held each of three authorities for the area, to stop,
to release and to decide on product, and was present for at least half of the shift.

## Why it matters
Somebody on call may be named in a document; then ask for it. Otherwise a question about product that
comes up in that shift waits, or is answered by nobody in charge: typical of weekend overtime.

## Population
Every shift of an area with production. Its ref is area, production day and shift. A shift without
production is not applicable.

## Not assessable
- No record says whether anything was made in the shift.
- Somebody who holds the authority has no attendance rows at all.

## Traps
- On call is not present, unless a document says that it is enough.
- One person for two halls: the area of the authority decides.
- Authority as of that day, never today's.

## Ask next
Who may release this hold tonight? Has a machine been stopped for quality on this shift, and what
happened then?

## Source
Somebody in charge of product conformity on every shift: IATF 16949:2016 5.3.2 (memory). Half of the
shift: common practice, no source.
*/
with

shifts as (
    select
        shift_spans.*,
        shift_production.produced
    from shift_spans
    left join shift_production using (shift_ix)
),

stays as (
    select
        person_key,
        in_at as from_at,
        out_at as to_at
    from attendances
    union all
    select
        person_key,
        start_at as from_at,
        end_at as to_at
    from allocations
    where not exists (select 1 from attendances) and basis = 'actual'
),

known as (
    select distinct person_key from stays
    where from_at is not null
),

holders as (
    select
        shifts.shift_ix,
        authorities.kind,
        authorities.person_key,
        shifts.start_at,
        shifts.end_at,
        shifts.length_s
    from shifts
    inner join authorities
        on
            shifts.area = authorities.area
            and shifts.production_date >= authorities.valid_from
            and coalesce(shifts.production_date <= authorities.valid_to, true)
    where authorities.kind in ('stop', 'release', 'disposition')
),

presence as (
    select
        holders.shift_ix,
        holders.kind,
        holders.person_key,
        2 * coalesce(sum(date_diff(
            'second',
            case when stays.from_at > holders.start_at then stays.from_at else holders.start_at end,
            case
                when coalesce(stays.to_at, holders.end_at) < holders.end_at
                    then stays.to_at
                else holders.end_at
            end
        )) filter (where stays.person_key is not null), 0) >= holders.length_s as is_present,
        known.person_key is null as is_unknown
    from holders
    left join stays
        on
            holders.person_key = stays.person_key
            and stays.from_at < holders.end_at
            and coalesce(stays.to_at > holders.start_at, true)
    left join known on holders.person_key = known.person_key
    group by holders.shift_ix, holders.kind, holders.person_key, holders.length_s, known.person_key
),

kinds as (
    select
        shifts.shift_ix,
        wanted.kind,
        coalesce(bool_or(presence.is_present), false) as is_held,
        coalesce(bool_or(presence.is_unknown), false) as may_be_held
    from shifts
    cross join (select unnest(['stop', 'release', 'disposition']) as kind) as wanted
    left join presence on shifts.shift_ix = presence.shift_ix and wanted.kind = presence.kind
    group by shifts.shift_ix, wanted.kind
),

held as (
    select
        shift_ix,
        count(*) filter (where not is_held and not may_be_held) as n_missing,
        count(*) filter (where not is_held and may_be_held) as n_unsure,
        string_agg(case kind when 'disposition' then 'decide on product' else kind end, ', ' order by kind)
        filter (where not is_held and not may_be_held) as missing
    from kinds
    group by shift_ix
)

select
    shifts.area,
    shifts.production_date,
    shifts.shift,
    held.missing,
    shifts.area || '/' || shifts.production_date || '/' || shifts.shift as shift_ref,
    case when isodow(shifts.production_date) >= 6 then 'weekend' else 'weekday' end as day_class,
    case when not shifts.produced then 'no production' end as not_applicable,
    case
        when shifts.produced is null then 'state unknown'
        when held.n_missing = 0 and held.n_unsure > 0 then 'time missing'
    end as not_assessable,
    case
        when shifts.produced is null then null
        when held.n_missing > 0 then true
        when held.n_unsure = 0 then false
    end as exception
from shifts
inner join held using (shift_ix)

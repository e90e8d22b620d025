/*---
finding = "A matter was open at a change of shift and the handover does not name it."
says = "At the change of {change_at} in area {area} this was open and the handover does not name it: {kind}, {where_open}, since {since_at}."
needs = ["shift_instances", "handover_items|handovers.text"]
criteria = ["handover_window_min"]
clauses = ["A 5.3.2", "A 8.5.6.1.1", "Q 7.4"]
pattern = "depends"
strata = ["kind", "attendance", "shift", "area"]
key = ["area", "change_at", "kind", "machine_id"]
since = "0.1"

[uses]
handover_items = "Only free text of handovers is looked at: no items were given."
handovers = "Only items of handovers are looked at: no free text was given."
---
## What it tests
Whether every matter that was open at a change of shift is named in the handover: an item, or a
text, that names both the machine and the kind of matter.

## Why it matters
Much is said at a handover that nobody writes down, and that can be enough. Where it is neither
written nor said the next shift starts without knowing what it owes: which product is on hold,
which check is overdue, and which machines run with nobody at them.

## Population
Every matter that the records show open at a change of shift, one for each area, change, kind and
machine: a stop over the change, an overdue check, a hold that is not disposed of, a set-up without
release, a machine that runs and is not attended, a temporary change, a failed challenge, material
about to end, a vacant place. Its ref is area, change, kind and machine.

## Not assessable
- Free text names the machine, but no kind of matter in the words of the list.
- An item of the kind names no machine, or the matter is about no machine and there is free text.
- The time for the handover reaches past the end of the data.

## Traps
- A matter that began or ended minutes before the change may not have been seen as open; those that
  began inside the tolerance of two clocks before it are shown as fragile.
- Free text is never counted as naming a matter unless it has the machine and the word of the list:
  a doubtful match is for the auditor to read.
- Said but not written: be there and listen.
- The first shift of the data took over from nobody on record; that is not applicable.

## Ask next
Take the list of open matters along and listen. Then ask the side that comes in, on any shift:
which machines are yours now, and nobody's at this moment?

## Source
Responsibility on all shifts, alternative controls, communication: IATF 16949:2016 5.3.2,
8.5.6.1.1; ISO 9001:2015 7.4 (memory). Which matters count: common practice, no source.
*/
with

written as (
    select
        area,
        change_at,
        kind,
        machine_id,
        ' ' || regexp_replace(lower(text), '[^\pL\pN]+', ' ', 'g') || ' ' as words
    from handover_items
    union all
    select
        area,
        change_at,
        null as kind,
        null as machine_id,
        ' ' || regexp_replace(lower(text), '[^\pL\pN]+', ' ', 'g') || ' ' as words
    from handovers
    where text is not null
),

notes as (
    select
        *,
        change_at - to_seconds($handover_window_s) as from_at,
        change_at + to_seconds($handover_window_s) as to_at
    from written
),

matters as (
    select
        open_matters.area,
        open_matters.change_at,
        open_matters.kind,
        open_matters.machine_id,
        open_matters.since_at,
        open_matters.detail,
        ' ' || regexp_replace(lower(open_matters.machine_id), '[^\pL\pN]+', ' ', 'g') || ' ' as its_name,
        ' ' || replace(open_matters.kind, '-', ' ') || ' ' as its_word
    from open_matters
),

read as (
    select
        matters.area,
        matters.change_at,
        matters.kind,
        matters.machine_id,
        coalesce(contains(notes.words, matters.its_word), false)
        or coalesce(notes.kind = matters.kind, false) as names_kind,
        coalesce(contains(notes.words, matters.its_name), false) as text_names_machine,
        coalesce(notes.machine_id = matters.machine_id, false) as item_names_machine,
        notes.kind is null as is_text,
        notes.kind is not null and notes.machine_id is null as is_item_without_machine
    from matters
    inner join notes
        on
            matters.area = notes.area
            and matters.change_at >= notes.from_at
            and matters.change_at <= notes.to_at
),

found as (
    select
        area,
        change_at,
        kind,
        machine_id,
        bool_or(
            names_kind and (machine_id is null or text_names_machine or item_names_machine)
        ) as is_named,
        bool_or(text_names_machine or (machine_id is null and is_text)) as is_only_text,
        bool_or(names_kind and is_item_without_machine) as is_only_kind
    from read
    group by area, change_at, kind, machine_id
),

units as (
    select
        matters.*,
        known_machines.machine_ix,
        coalesce(found.is_named, false) as is_named,
        coalesce(found.is_only_text, false) as is_only_text,
        coalesce(found.is_only_kind, false) as is_only_kind
    from matters
    left join found
        on
            matters.area = found.area
            and matters.change_at = found.change_at
            and matters.kind = found.kind
            and matters.machine_id is not distinct from found.machine_id
    left join known_machines on matters.machine_id = known_machines.machine_id
),

timed as (
    select
        units.*,
        shift_changes.out_start_at,
        period.ends_at,
        units.change_at + to_seconds($handover_window_s) as until_at
    from units
    inner join shift_changes
        on units.area = shift_changes.area and units.change_at = shift_changes.change_at
    cross join period
)

select
    timed.area,
    timed.change_at,
    timed.kind,
    timed.machine_id,
    timed.since_at,
    timed.detail,
    attendance_spans.class as attendance,
    shift_spans.shift,
    coalesce('machine ' || timed.machine_id, 'the area') as where_open,
    shift_spans.shift_ref,
    case when timed.out_start_at is null then 'no shift before it on record' end as not_applicable,
    case
        when timed.is_named then null
        when timed.is_only_text then 'free text that has no word for the matter'
        when timed.is_only_kind then 'an item that names no machine'
        when timed.until_at > timed.ends_at then 'window still open'
    end as not_assessable,
    case
        when timed.is_named then false
        when timed.is_only_text or timed.is_only_kind or timed.until_at > timed.ends_at then null
        else true
    end as exception,
    -- What begins with the change itself is the board's plan, not a clock's reading.
    timed.since_at < timed.change_at
    and date_diff('second', timed.since_at, timed.change_at) <= 240 as fragile
from timed
left join shift_spans
    on timed.area = shift_spans.area and timed.out_start_at = shift_spans.start_at
asof left join attendance_spans
    on timed.machine_ix = attendance_spans.machine_ix and timed.change_at >= attendance_spans.from_at

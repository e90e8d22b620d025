/*---
finding = "Work that asks for somebody at the machine was done while the records show nobody qualified there."
says = "Machine {machine_id}, {kind} from {from_at} to {to_at}: {grounds}."
needs = ["allocations", "setups|process_events|material_uses|stoppages"]
criteria = ["restart_threshold_min", "jam_group_count", "jam_group_window_min"]
clauses = ["A 8.5.1.3", "A 8.5.2.1"]
pattern = "depends"
strata = ["kind", "attendance", "shift", "machine_id"]
key = ["kind", "event_ref"]
since = "0.1"

[uses]
"staffing_rules.attended_events" = "No staffing rule lists them: set-up, tool change, material change and restart all count."
setups = "Set-ups are not looked for, and hands-on work elsewhere only in process events: none were given."
process_events = "Tool changes are not looked for, and material changes only in lots: no process events were given."
stoppages = "Restarts are read from standstills, where there are any: no stoppages were given."
material_uses = "Changes of a material lot are not looked for: no material in use was given."
qualifications = "Whoever is on record as having done it counts as qualified: no qualifications were given."
required_qualifications = "Whoever is on record as having done it counts as qualified: no levels were given."
machines = "Areas and processes are not known: no machine register was given."
---
## What it tests
Whether at every set-up, tool change, material change and restart that the plant's rule asks
somebody to attend, somebody qualified was allocated to the machine and present from start to end,
or is on record as having done it, and was not at work on another machine in those minutes.

## Why it matters
The board may simply not follow a setter from machine to machine. But these are the minutes after
which product can differ, and where the plant breaks its own strictest rule the first pieces are
the ones to ask for.

## Population
Every such event, one for each stop of the machine. Its ref is the kind and the id of the set-up,
the process event or the stop; for a lot of material, the lot and its start. Kinds that the rule
does not list are not applicable.

## Not assessable
- The time is missing, or occurred twice that night.
- A change of material was booked by back-flush or on paper, or nobody knows how, and no single stop
  or standstill locates it.
- The board has no row for the area and shift, and nobody is on record as having done it.
- Whether the person on record is qualified is not known.

## Traps
- A material lot booked at staging, or back-flushed at the order's end, is not changed then.
- Setters who belong to a pool stand on the board of a group, or on none.
- A set-up without an end on record is asked for at its start only.
- Minutes at both ends count only beyond what clocks may differ; an instant is met by whoever
  attends within that time of it.
- Hands-on elsewhere means inside a set-up of their own, or work on record, at another machine.
- Who covers as a neighbour does not attend.

## Ask next
When the material of this machine ran out, what happened, step by step, and who was where? May we
see the first pieces made after the change?

## Source
Set-up verification, material change, traceability: IATF 16949:2016 8.5.1.3, 8.5.2.1 (memory). The
four kinds as a default: common practice, no source.
*/
with

units as (
    select
        events.kind,
        events.event_ref,
        events.machine_id,
        events.from_at,
        events.to_at,
        events.is_asked,
        events.is_ambiguous,
        events.is_located,
        events.area,
        presence.is_recorded,
        presence.is_elsewhere,
        presence.is_there,
        attendance_spans.class as attendance,
        presence.is_there or presence.is_recorded as is_somebody_there,
        not presence.is_recorded
        and (
            (presence.is_there and not coalesce(presence.is_there_loosely, false))
            or (not presence.is_there and coalesce(presence.is_there_firmly, true))
        ) as fragile
    from hands_on_events as events
    left join hands_on_presence as presence
        on
            events.machine_ix = presence.machine_ix
            and events.kind = presence.kind
            and events.event_ref = presence.event_ref
    asof left join attendance_spans
        on events.machine_ix = attendance_spans.machine_ix and events.from_at >= attendance_spans.from_at
),

marked as (
    select
        *,
        case
            when is_ambiguous then 'time ambiguous'
            when from_at is null then 'time missing'
            when not is_located then 'the change of material is not located'
            when is_somebody_there is null and is_recorded is null
                then 'qualification of the person on record not known'
            when is_somebody_there is null then 'no staffing row for the area and shift'
        end as doubt
    from units
)

select
    marked.kind,
    marked.event_ref,
    marked.machine_id,
    marked.from_at,
    marked.to_at,
    marked.attendance,
    marked.fragile,
    marked.doubt as not_assessable,
    case when marked.from_at < shift_spans.end_at then shift_spans.shift_ix end as shift_ix,
    case when not marked.is_asked then 'not asked for by the rule' end as not_applicable,
    case when marked.doubt is null then not marked.is_somebody_there or marked.is_elsewhere end
        as exception,
    case
        when marked.is_somebody_there
            then 'whoever was there is on record as at work on another machine in those minutes'
        else 'nobody qualified is on record as there from start to end'
    end as grounds
from marked
asof left join shift_spans on marked.area = shift_spans.area and marked.from_at >= shift_spans.start_at

/*---
about = "one row per hands-on event: whether somebody qualified was there, and not elsewhere"
criteria = []
sorted = ["machine_ix", "kind", "event_ref"]
---
`is_there`: attended from start to end, less the clocks' tolerance at both ends; an event no longer
than two tolerances, at some time within one tolerance of it. Null where the class is not known.
`is_there_firmly` and `is_there_loosely` say the same two tolerances further in and out: where they
differ from it the clocks may turn the result.

`is_recorded`: who is on record as having done it held the level required that day of a setter at
set-ups (where none is set for setters, and at other events: of an operator); null where the matrix
does not know the person. `is_elsewhere`: all who were there, or did it, were inside a set-up of
their own or did work on record at another machine for longer than the tolerance meanwhile.
*/
with events as (
    select
        *,
        local_date(from_at) as done_on,
        date_diff('second', from_at, to_at) > 2 * tolerance_s as is_long
    from hands_on_events
    where from_at is not null
),

edges as (
    select
        unnest(['counts', 'firm', 'loose']) as reading,
        unnest([1, 3, -1]) as inwards,
        unnest([1, 3, 0]) as outwards
),

windows as (
    select
        events.machine_ix,
        events.kind,
        events.event_ref,
        events.is_long,
        edges.reading,
        to_seconds(
            events.tolerance_s * case when events.is_long then -edges.inwards else edges.outwards end
        ) as wider_by,
        events.from_at - wider_by as from_at,
        events.to_at + wider_by as to_at
    from events
    cross join edges
),

attended as (
    select
        machine_ix,
        from_at,
        to_at
    from attendance_spans
    where class = 'attended'
),

away as (
    select
        machine_ix,
        from_at,
        to_at
    from attendance_spans
    where class in ('covered', 'authorised', 'uncovered')
),

unclear as (
    select
        machine_ix,
        from_at,
        to_at
    from attendance_spans
    where class = 'not-assessable'
),

-- Spans do not overlap: the last to begin before a window's end reaches into it if any does.
met as (
    select
        windows.machine_ix,
        windows.kind,
        windows.event_ref,
        windows.reading,
        case
            when windows.is_long and windows.from_at >= windows.to_at then true
            when windows.is_long and away.to_at > windows.from_at then false
            when not windows.is_long and attended.to_at >= windows.from_at then true
            when unclear.to_at > windows.from_at then null
            else windows.is_long
        end as is_there
    from windows
    asof left join attended
        on windows.machine_ix = attended.machine_ix and windows.to_at >= attended.from_at
    asof left join away
        on windows.machine_ix = away.machine_ix and windows.to_at > away.from_at
    asof left join unclear
        on windows.machine_ix = unclear.machine_ix and windows.to_at > unclear.from_at
),

there as (
    select
        machine_ix,
        kind,
        event_ref,
        bool_or(is_there) filter (where reading = 'counts') as is_there,
        bool_or(is_there) filter (where reading = 'firm') as is_there_firmly,
        bool_or(is_there) filter (where reading = 'loose') as is_there_loosely
    from met
    group by machine_ix, kind, event_ref
),

recorded as (
    select
        machine_ix,
        kind,
        event_ref,
        person_key,
        process,
        done_on,
        case when kind = 'set-up' then 'setter' else 'operator' end as role
    from events
    where person_key is not null
),

required_then as (
    select
        recorded.machine_ix,
        recorded.kind,
        recorded.event_ref,
        recorded.person_key,
        recorded.process,
        recorded.done_on,
        arg_max(required.level, (required.role = recorded.role, required.valid_from)) as required_level
    from recorded
    left join required_qualifications as required
        on
            recorded.process = required.process
            and recorded.done_on >= required.valid_from
            and required.role in (recorded.role, 'operator')
    group by
        recorded.machine_ix,
        recorded.kind,
        recorded.event_ref,
        recorded.person_key,
        recorded.process,
        recorded.done_on
),

held_then as (
    select
        required_then.machine_ix,
        required_then.kind,
        required_then.event_ref,
        required_then.person_key,
        required_then.required_level,
        coalesce(arg_max(held.level, held.valid_from), 0) as held_level
    from required_then
    left join qualifications as held
        on
            required_then.person_key = held.person_key
            and required_then.process = held.process
            and required_then.done_on >= held.valid_from
            and (required_then.done_on <= held.valid_to or held.valid_to is null)
    group by
        required_then.machine_ix,
        required_then.kind,
        required_then.event_ref,
        required_then.person_key,
        required_then.required_level
),

doers as (
    select
        machine_ix,
        kind,
        event_ref,
        person_key,
        case
            when required_level is null or held_level >= required_level then true
            when not exists (select 1 from qualifications) then true
            when person_key in (select qualifications.person_key from qualifications) then false
        end as is_recorded
    from held_then
),

-- Who may have been there: the doer, and whoever attended at some time of it.
people as (
    select
        machine_ix,
        kind,
        event_ref,
        person_key
    from doers
    where is_recorded is distinct from false
    union
    select
        events.machine_ix,
        events.kind,
        events.event_ref,
        staffing_spans.person_key
    from events
    inner join staffing_spans
        on
            events.machine_ix = staffing_spans.machine_ix
            and events.from_at - to_seconds(events.tolerance_s) < staffing_spans.to_at
            and events.to_at + to_seconds(events.tolerance_s) > staffing_spans.from_at
    where staffing_spans.attends and staffing_spans.is_qualified and not staffing_spans.is_void
),

works as (
    select
        setups.setter as person_key,
        known_machines.machine_ix,
        setups.start_at as from_at,
        setups.end_at as to_at
    from setups
    inner join known_machines on setups.machine_id = known_machines.machine_id
    where setups.setter is not null
    union all
    select
        process_events.done_by as person_key,
        known_machines.machine_ix,
        process_events.happened_at - interval 120 second as from_at,
        process_events.happened_at + interval 120 second as to_at
    from process_events
    inner join known_machines on process_events.machine_id = known_machines.machine_id
    where process_events.done_by is not null
),

spans as (
    select
        machine_ix,
        kind,
        event_ref,
        case when is_long then from_at else from_at - to_seconds(tolerance_s) end as from_at,
        case when is_long then to_at else to_at + to_seconds(tolerance_s) end as to_at
    from events
),

elsewhere as (
    select distinct
        people.machine_ix,
        people.kind,
        people.event_ref,
        people.person_key
    from people
    inner join spans
        on
            people.machine_ix = spans.machine_ix
            and people.kind = spans.kind
            and people.event_ref = spans.event_ref
    inner join works
        on
            people.person_key = works.person_key
            and people.machine_ix != works.machine_ix
            and spans.from_at + interval 120 second < works.to_at
            and spans.to_at - interval 120 second > works.from_at
),

counted as (
    select
        people.machine_ix,
        people.kind,
        people.event_ref,
        count(people.person_key) = count(elsewhere.person_key) as is_elsewhere
    from people
    left join elsewhere
        on
            people.machine_ix = elsewhere.machine_ix
            and people.kind = elsewhere.kind
            and people.event_ref = elsewhere.event_ref
            and people.person_key = elsewhere.person_key
    group by people.machine_ix, people.kind, people.event_ref
)

select
    there.machine_ix,
    there.kind,
    there.event_ref,
    there.is_there,
    there.is_there_firmly,
    there.is_there_loosely,
    case when doers.person_key is null then false else doers.is_recorded end as is_recorded,
    coalesce(counted.is_elsewhere, false) as is_elsewhere
from there
left join doers
    on
        there.machine_ix = doers.machine_ix
        and there.kind = doers.kind
        and there.event_ref = doers.event_ref
left join counted
    on
        there.machine_ix = counted.machine_ix
        and there.kind = counted.kind
        and there.event_ref = counted.event_ref

/*---
about = "one row per event at a machine for which somebody may have to be there"
criteria = ["restart_threshold_min"]
sorted = ["machine_ix", "from_at", "kind", "event_ref"]
---
Set-ups, tool changes, material changes and restarts. `is_asked`: a staffing rule valid then lists
the kind; where none is valid, or none lists any, all four are asked for. Of events that lie in one
stop of the machine, or overlap, one row is left: of the kinds asked for the first in the order
above, of the same kind the earlier.

A material change is an event on record, else (on machines without any) the start of another lot
than before. Only a booking by scan fixes its minute. Else the one stop between the two bookings
whose reason is `material`, `material-change` or `material-out` locates it, or the one standstill
there, which may come from the counter; where there are none or several, `is_located` is false.
Restarts are those of `restarts`; on machines without runs, ends of stops that last the threshold or
have one of its reasons.

`to_at` is `from_at` for an instant. `person_key` is who is on record as having done it.
*/
with lot_starts as (
    select
        uses.machine_id,
        uses.lot_no,
        uses.start_at,
        uses.booked_how,
        uses.clock,
        lag(uses.lot_no) over by_time as last_lot_no,
        lag(uses.start_at) over by_time as last_at
    from material_uses as uses
    where
        uses.start_at is not null
        and uses.machine_id not in (
            select process_events.machine_id from process_events
            where process_events.kind = 'material-change'
        )
    window by_time as (partition by uses.machine_id order by uses.start_at, uses.lot_no)
),

lot_changes as (
    select
        *,
        lot_no || '/' || strftime(start_at, '%Y-%m-%dT%H:%MZ') as event_ref,
        coalesce(booked_how = 'scan', false) as is_scanned
    from lot_starts
    where lot_no != last_lot_no
),

candidates as (
    select
        lot_changes.machine_id,
        lot_changes.event_ref,
        'reason' as what,
        stoppages.start_at as from_at,
        stoppages.end_at as to_at
    from lot_changes
    inner join stoppages
        on
            lot_changes.machine_id = stoppages.machine_id
            and lot_changes.last_at < stoppages.start_at
            and lot_changes.start_at + interval 120 second >= stoppages.start_at
    where
        not lot_changes.is_scanned
        and stoppages.reason in ('material', 'material-change', 'material-out')
    union all
    select
        lot_changes.machine_id,
        lot_changes.event_ref,
        'standstill' as what,
        running_states.from_at,
        running_states.to_at
    from lot_changes
    inner join known_machines on lot_changes.machine_id = known_machines.machine_id
    inner join running_states
        on
            known_machines.machine_ix = running_states.machine_ix
            and lot_changes.last_at < running_states.from_at
            and lot_changes.start_at + interval 120 second >= running_states.from_at
    where not lot_changes.is_scanned and running_states.state = 'stopped'
),

located_by as (
    select
        machine_id,
        event_ref,
        what,
        count(*) as n,
        min(from_at) as from_at,
        max(to_at) as to_at
    from candidates
    group by machine_id, event_ref, what
),

-- A reason decides where there is one, else the standstills.
located as (
    select
        machine_id,
        event_ref,
        arg_min(n, what) as n,
        arg_min(from_at, what) as from_at,
        arg_min({ 'at': to_at }, what).at as to_at
    from located_by
    group by machine_id, event_ref
),

written as (
    select
        setup_id as event_ref,
        machine_id,
        'set-up' as kind,
        1 as priority,
        null as stopped_at,
        start_at as from_at,
        coalesce(end_at, start_at) as to_at,
        setter as person_key,
        tolerance_s(clock, clock) as tolerance_s,
        true as is_located,
        coalesce('ambiguous' in (start_at_quality, end_at_quality), false) as is_ambiguous
    from setups
    union all
    select
        event_id as event_ref,
        machine_id,
        kind,
        case kind when 'tool-change' then 2 else 3 end as priority,
        null as stopped_at,
        happened_at as from_at,
        happened_at as to_at,
        done_by as person_key,
        tolerance_s(clock, clock) as tolerance_s,
        true as is_located,
        coalesce(happened_at_quality = 'ambiguous', false) as is_ambiguous
    from process_events
    where kind in ('tool-change', 'material-change')
    union all
    select
        lot_changes.event_ref,
        lot_changes.machine_id,
        'material-change' as kind,
        3 as priority,
        null as stopped_at,
        case when located.n = 1 then located.from_at else lot_changes.start_at end as from_at,
        case when located.n = 1 then coalesce(located.to_at, located.from_at) else lot_changes.start_at end
            as to_at,
        null as person_key,
        tolerance_s(lot_changes.clock, lot_changes.clock) as tolerance_s,
        lot_changes.is_scanned or coalesce(located.n = 1, false) as is_located,
        false as is_ambiguous
    from lot_changes
    left join located
        on
            lot_changes.machine_id = located.machine_id
            and lot_changes.event_ref = located.event_ref
    union all
    select
        stop_ref as event_ref,
        machine_id,
        'restart' as kind,
        4 as priority,
        stopped_at,
        restarted_at as from_at,
        restarted_at as to_at,
        null as person_key,
        120 as tolerance_s,
        true as is_located,
        false as is_ambiguous
    from restarts
    union all
    select
        stop_id as event_ref,
        machine_id,
        'restart' as kind,
        4 as priority,
        start_at as stopped_at,
        end_at as from_at,
        end_at as to_at,
        null as person_key,
        tolerance_s(clock, clock) as tolerance_s,
        true as is_located,
        false as is_ambiguous
    from stoppages
    where
        machine_id not in (select merged_runs.machine_id from merged_runs)
        and (
            reason in ('crash', 'power', 'tool', 'adjustment', 'weekend')
            or date_diff('second', start_at, end_at) >= $restart_threshold_s
        )
        and end_at is not null
),

asked_kinds as (
    select
        written.machine_id,
        written.kind,
        written.event_ref,
        count(rules.attended_events) = 0 or bool_or(list_contains(rules.attended_events, written.kind))
            as is_asked
    from written
    inner join known_machines on written.machine_id = known_machines.machine_id
    left join staffing_rules as rules
        on
            known_machines.area = rules.area
            and local_date(written.from_at) >= rules.valid_from
            and (local_date(written.from_at) <= rules.valid_to or rules.valid_to is null)
    group by written.machine_id, written.kind, written.event_ref
),

stops as (
    select
        known_machines.machine_ix,
        stoppages.start_at,
        coalesce(stoppages.end_at, period.ends_at) as end_at
    from stoppages
    inner join known_machines on stoppages.machine_id = known_machines.machine_id
    cross join period
    union all
    select
        machine_ix,
        from_at as start_at,
        to_at as end_at
    from running_states
    where
        state = 'stopped'
        and machine_ix not in (
            select known_machines.machine_ix from known_machines
            inner join stoppages on known_machines.machine_id = stoppages.machine_id
        )
),

events as (
    select
        written.*,
        known_machines.machine_ix,
        known_machines.area,
        known_machines.process,
        coalesce(asked_kinds.is_asked, true) as is_asked
    from written
    inner join known_machines on written.machine_id = known_machines.machine_id
    left join asked_kinds
        on
            written.machine_id = asked_kinds.machine_id
            and written.kind = asked_kinds.kind
            and written.event_ref = asked_kinds.event_ref
),

-- What an event takes up: itself, and the stop that it lies in.
wide as (
    select
        events.*,
        (not events.is_asked, events.priority, events.from_at, events.event_ref) as place_in_line,
        case
            when events.stopped_at is not null then events.stopped_at
            when stops.end_at + interval 120 second >= events.from_at and stops.start_at < events.from_at
                then stops.start_at
            else events.from_at
        end as wide_from_at,
        case
            when stops.end_at + interval 120 second >= events.from_at and stops.end_at > events.to_at
                then stops.end_at
            else events.to_at
        end as wide_to_at
    from events
    asof left join stops
        on
            events.machine_ix = stops.machine_ix
            and events.from_at + interval 120 second >= stops.start_at
),

absorbed as (
    select distinct
        later.kind,
        later.event_ref,
        later.machine_ix
    from wide as later
    inner join wide as ahead
        on
            later.machine_ix = ahead.machine_ix
            and later.wide_from_at <= ahead.wide_to_at
            and later.wide_to_at >= ahead.wide_from_at
    where ahead.place_in_line < later.place_in_line and ahead.is_located and later.is_located
)

select
    wide.machine_ix,
    wide.machine_id,
    wide.area,
    wide.process,
    wide.kind,
    wide.event_ref,
    wide.from_at,
    wide.to_at,
    wide.person_key,
    wide.tolerance_s,
    wide.is_located,
    wide.is_ambiguous,
    wide.is_asked
from wide
left join absorbed
    on
        wide.machine_ix = absorbed.machine_ix
        and wide.kind = absorbed.kind
        and wide.event_ref = absorbed.event_ref
where absorbed.event_ref is null

/*---
about = "one row per board, watcher, machine watched and stretch, and whether the rules bear it"
criteria = []
sorted = ["board", "machine_ix", "from_at", "person_key"]
---
`within`: a rule valid then allows watching, and the machines owned and watched by that person are
no more than it allows; `beyond`: more than that; `watch`: the watch itself, whatever the rules say.
Machines count once each, whether
owned or watched. A person put to a group as operator owns their share of its machines, rounded up.
*/
with watchers as (
    select distinct person_key
    from allocation_spans
    where role = 'watcher'
),

put as (
    select
        spans.person_key,
        spans.role,
        spans.place,
        spans.place_kind,
        machine_places.machine_ix,
        machine_places.area,
        spans.from_at,
        spans.to_at,
        unnest(
            case
                when spans.basis = 'planned' and not spans.is_void then ['recorded', 'planned']
                when spans.basis = 'planned' then ['planned']
                else ['recorded']
            end
        ) as board
    from allocation_spans as spans
    inner join machine_places
        on
            spans.place = machine_places.place
            and spans.process is not distinct from machine_places.process
    where
        spans.is_present
        and spans.role in ('operator', 'watcher')
        and spans.person_key in (select watchers.person_key from watchers)
),

-- Machines by name: each counts while it is owned or watched at least once.
named_events as (
    select
        board,
        person_key,
        machine_ix,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from put
    where role = 'watcher' or place_kind = 'machine'
),

named_moments as (
    select
        board,
        person_key,
        machine_ix,
        event_at,
        sum(step) as step
    from named_events
    group by board, person_key, machine_ix, event_at
),

named_swept as (
    select
        board,
        person_key,
        event_at,
        step,
        sum(step) over (partition by board, person_key, machine_ix order by event_at) as times
    from named_moments
),

-- Groups: each counts with the share of everybody put to it, while this person is.
group_spans_of as (
    select distinct
        board,
        person_key,
        place,
        from_at,
        to_at,
        1 as here,
        0 as portion
    from put
    where role = 'operator' and place_kind <> 'machine'
),

members as (
    select distinct
        board,
        person_key,
        place
    from group_spans_of
),

group_spans_and_heads as (
    select *
    from group_spans_of
    union all
    select
        members.board,
        members.person_key,
        members.place,
        place_heads.from_at,
        place_heads.to_at,
        0 as here,
        (place_heads.n_machines + place_heads.heads - 1) // place_heads.heads as portion
    from members
    inner join place_heads on members.board = place_heads.board and members.place = place_heads.place
),

group_events as (
    select
        board,
        person_key,
        place,
        unnest([from_at, to_at]) as event_at,
        unnest([here, -here]) as here,
        unnest([portion, -portion]) as portion
    from group_spans_and_heads
),

group_moments as (
    select
        board,
        person_key,
        place,
        event_at,
        sum(here) as here,
        sum(portion) as portion
    from group_events
    group by board, person_key, place, event_at
),

group_swept as (
    select
        board,
        person_key,
        place,
        event_at,
        case when sum(here) over in_time > 0 then sum(portion) over in_time else 0 end as machines
    from group_moments
    window in_time as (partition by board, person_key, place order by event_at)
),

load_changes as (
    select
        board,
        person_key,
        event_at,
        case when times > 0 then 1 else 0 end - case when times > step then 1 else 0 end as step
    from named_swept
    union all
    select
        board,
        person_key,
        event_at,
        machines - coalesce(
            lag(machines) over (partition by board, person_key, place order by event_at), 0
        ) as step
    from group_swept
),

load_moments as (
    select
        board,
        person_key,
        event_at,
        sum(step) as step
    from load_changes
    group by board, person_key, event_at
),

loads as (
    select
        board,
        person_key,
        cast(sum(step) over in_time as bigint) as machines,
        event_at as from_at,
        lead(event_at) over in_time as to_at
    from load_moments
    where step <> 0
    window in_time as (partition by board, person_key order by event_at)
),

-- A watch meets its person's load by the day, so that no two large tables meet by range alone.
load_days as (
    select
        *,
        unnest(range(cast(from_at as date), cast(to_at as date) + 1, interval 1 day)) as met_on
    from loads
    where machines > 0
),

watch_days as (
    select distinct
        board,
        person_key,
        machine_ix,
        area,
        from_at,
        to_at,
        unnest(range(cast(from_at as date), cast(to_at as date) + 1, interval 1 day)) as met_on
    from put
    where role = 'watcher'
),

loaded as (
    select
        watch_days.board,
        watch_days.person_key,
        watch_days.machine_ix,
        watch_days.area,
        load_days.machines,
        case
            when watch_days.from_at > load_days.from_at then watch_days.from_at
            else load_days.from_at
        end as from_at,
        case
            when watch_days.to_at < load_days.to_at then watch_days.to_at else load_days.to_at
        end as to_at
    from watch_days
    inner join load_days
        on
            watch_days.board = load_days.board
            and watch_days.person_key = load_days.person_key
            and watch_days.met_on = load_days.met_on
            and watch_days.from_at < load_days.to_at
            and watch_days.to_at > load_days.from_at
    where
        watch_days.met_on = case
            when watch_days.from_at > load_days.from_at then cast(watch_days.from_at as date)
            else cast(load_days.from_at as date)
        end
),

allowed as (
    select
        loaded.board,
        loaded.machine_ix,
        loaded.person_key,
        case
            when loaded.from_at > staffing_limits.from_at then loaded.from_at
            else staffing_limits.from_at
        end as from_at,
        case
            when loaded.to_at < staffing_limits.to_at then loaded.to_at else staffing_limits.to_at
        end as to_at,
        loaded.machines > coalesce(staffing_limits.max_machines, loaded.machines) as is_beyond
    from loaded
    inner join staffing_limits
        on
            loaded.area = staffing_limits.area
            and staffing_limits.is_watching_allowed
            and loaded.from_at < staffing_limits.to_at
            and loaded.to_at > staffing_limits.from_at
)

select
    board,
    machine_ix,
    person_key,
    from_at,
    to_at,
    case when is_beyond then 'beyond' else 'within' end as verdict
from allowed
union all
select
    board,
    machine_ix,
    person_key,
    from_at,
    to_at,
    'watch' as verdict
from loaded

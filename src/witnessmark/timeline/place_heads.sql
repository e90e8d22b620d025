/*---
about = "one row per board, group or area and stretch with the same number of people put to it"
criteria = []
sorted = ["board", "place", "from_at"]
---
The board is read twice: as `recorded`, and as if only what was `planned` existed. People count once
each, while present, in a role that attends; a person may stand on the board twice. `n_machines` is
the number of machines of the place.
*/
with put as (
    select
        place,
        person_key,
        from_at,
        to_at,
        unnest(
            case
                when basis = 'planned' and not is_void then ['recorded', 'planned']
                when basis = 'planned' then ['planned']
                else ['recorded']
            end
        ) as board
    from allocation_spans
    where place_kind <> 'machine' and attends
),

-- The processes of a group repeat its people.
once as (
    select distinct *
    from put
),

person_events as (
    select
        board,
        place,
        person_key,
        unnest([from_at, to_at]) as event_at,
        unnest([1, -1]) as step
    from once
),

person_moments as (
    select
        board,
        place,
        person_key,
        event_at,
        sum(step) as step
    from person_events
    group by board, place, person_key, event_at
),

person_swept as (
    select
        board,
        place,
        event_at,
        step,
        sum(step) over (partition by board, place, person_key order by event_at) as times
    from person_moments
),

moments as (
    select
        board,
        place,
        event_at,
        sum(case when times > 0 then 1 else 0 end - case when times > step then 1 else 0 end) as step
    from person_swept
    group by board, place, event_at
),

swept as (
    select
        board,
        place,
        cast(sum(step) over in_time as bigint) as heads,
        event_at as from_at,
        lead(event_at) over in_time as to_at
    from moments
    where step <> 0
    window in_time as (partition by board, place order by event_at)
),

sizes as (
    select
        place,
        min(area) as area,
        count(*) as n_machines
    from machine_places
    group by place
)

select
    swept.board,
    swept.place,
    swept.from_at,
    swept.to_at,
    swept.heads,
    sizes.area,
    sizes.n_machines
from swept
inner join sizes on swept.place = sizes.place
where swept.heads > 0

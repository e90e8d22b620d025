/*---
about = "one row per machine and name under which people are put to it"
criteria = []
sorted = ["place", "machine_ix"]
---
A place is a machine, else a group, else an area: where one name is two of these, the narrower one
is meant.
*/
with names as (
    select
        machine_ix,
        area,
        process,
        1 as reach,
        'machine' as place_kind,
        machine_id as place
    from known_machines
    union all
    select
        machine_ix,
        area,
        process,
        2 as reach,
        'group' as place_kind,
        group_id as place
    from known_machines
    union all
    select
        machine_ix,
        area,
        process,
        3 as reach,
        'area' as place_kind,
        area as place
    from known_machines
),

narrowest as (
    select
        *,
        min(reach) over (partition by place) as least_reach
    from names
    where place is not null
)

select
    place,
    place_kind,
    machine_ix,
    area,
    process
from narrowest
where reach = least_reach

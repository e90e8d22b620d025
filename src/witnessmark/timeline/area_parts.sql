/*---
about = "one row per area and part that its records name: reported, run or planned there"
criteria = []
sorted = ["area", "part_no"]
---
Order lines and shipments name a part, boards speak about an area: this leads from one to the other.
A part that several areas work on belongs to each of them.
*/
with named as (
    select
        machine_id,
        part_no
    from outputs
    union
    select
        machine_id,
        part_no
    from runs
    union
    select
        machine_id,
        part_no
    from schedule_lines
)

select distinct
    known_machines.area,
    named.part_no
from named
inner join known_machines on named.machine_id = known_machines.machine_id
where known_machines.area is not null and named.part_no is not null

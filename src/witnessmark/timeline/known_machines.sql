/*---
about = "one row per machine that any record names"
criteria = []
sorted = ["machine_ix"]
---
Numbers the machines, so that the large tables carry an integer. Area, group and the rest are null
where the machine register lacks the machine. What `allocations` name may be a group and makes no
machine by itself.
*/
with named as (
    select machine_id from machines
    union
    select machine_id from runs
    union
    select machine_id from machine_states
    union
    select machine_id from piece_counts
    union
    select machine_id from outputs
    union
    select machine_id from stoppages
    union
    select machine_id from process_events
    union
    select machine_id from parameter_limits
    union
    select machine_id from parameter_values
    union
    select machine_id from unattended_permissions
    union
    select machine_id from setups
    union
    select machine_id from checks
    union
    select machine_id from capability_claims
    union
    select machine_id from material_uses
    union
    select machine_id from lots
    union
    select machine_id from holds
    union
    select machine_id from scrap_entries
    union
    select machine_id from schedule_lines
    union
    select machine_id from concerns
    union
    select machine_id from handover_items
    union
    select machine_id from maintenance_tasks
    union
    select machine_id from tool_lives
    union
    select machine_id from temporary_changes
)

select
    cast(row_number() over (order by named.machine_id) as integer) as machine_ix,
    named.machine_id,
    machines.area,
    machines.group_id,
    machines.process,
    machines.stations,
    machines.auto_stop
from named
left join machines on named.machine_id = machines.machine_id
where named.machine_id is not null

/*---
about = "one row per scenario, machine and stretch for which somebody was put to it"
criteria = []
sorted = []
---
Three readings of the same board: `recorded` (actual before planned), `planned` (as if only the plan
existed) and `unqualified` (as recorded, qualification left aside). What follows is worked out
alike for each. `attends` means present, in a role that attends, and qualified where that is asked.
A trainee never attends by themselves; a watcher only covers.
*/
with scenarios as (
    select unnest(['recorded', 'planned', 'unqualified']) as scenario
)

select
    scenarios.scenario,
    staffing_spans.machine_ix,
    staffing_spans.from_at,
    staffing_spans.to_at,
    staffing_spans.person_key,
    staffing_spans.role,
    staffing_spans.place,
    staffing_spans.place_kind,
    staffing_spans.is_present,
    staffing_spans.role in ('operator', 'setter', 'leader', 'relief') as is_attending_role,
    staffing_spans.is_present
    and staffing_spans.role in ('operator', 'setter', 'leader', 'relief')
    and (staffing_spans.is_qualified or scenarios.scenario = 'unqualified') as attends
from staffing_spans
inner join scenarios
    on
        case
            when scenarios.scenario = 'planned' then staffing_spans.basis = 'planned'
            else not staffing_spans.is_void
        end

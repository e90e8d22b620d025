/*---
finding = "A machine ran longer between two checks than the control plan's interval and grace allow."
says = "Machine {machine_id}, part {part_no}, lines {lines}: {measured_s} from {from_at} to {to_at}; allowed {allowed_s}."
needs = ["runs", "checks", "control_plan_lines.interval_min"]
criteria = ["patrol_grace_share", "patrol_grace_least_min", "patrol_grace_most_min"]
clauses = ["A 8.5.1.1", "A 9.1.1.1", "Q 8.5.1 c"]
pattern = "depends"
strata = ["attendance", "shift", "machine_id"]
key = ["run_id", "from_at", "to_at", "basis"]
since = "0.1"

[uses]
machine_states = "Running time is taken from runs less stoppages: no machine states were given."
measurements = "A pass counts for every line that lists its kind: no measurements were given."
---
## What it tests
Whether the time a machine ran between two completed checks of a plan line stayed within the
control plan's interval and its grace.

## Why it matters
A gap may be harmless: the machine can have stood, or the check can lie in a file that was not
given. Where it is real, the planned detection did not exist for that time, and what was made in
it rests on the check before. The contrast between attended and unattended running is what this
audit is after.

## Population
Every stretch of a merged run between its release (or start), each completed check of a line, and
its end; lines checked in one round make one stretch. Its ref is the run, both ends and the basis.
The last stretch of a run is not applicable while it is shorter than the limit: nothing was due.

## Not assessable
- Time in the stretch is covered by no record, and would decide: state unknown.
- A completed check of the line has no time, so the stretch may be shorter than it looks.

## Traps
- The interval counts running time: stoppages pause it, handovers and orders of the same part do
  not reset it. "Every two hours" may mean clock time: the plan line's basis says which.
- A completed check that failed satisfies the interval; it does not close a suspect window.
- An incomplete check restarts only the characteristics that were measured.
- Clock changes in spring and autumn: time is true time.

## Ask next
How does a person know that the next check of this machine is due, on any shift and with nobody at
it? May we see the last one, and the piece?

## Source
Control plan followed: IATF 16949:2016 8.5.1.1, 9.1.1.1; ISO 9001:2015 8.5.1 c (memory). Grace of
10 % of the interval, at least 10 and at most 30 minutes: common practice, no source.
*/
with

limits as (
    select
        *,
        limit_s as allowed,
        case when basis = 'running-time' then running_s else wall_s end as measured,
        case when basis = 'running-time' then unknown_s else 0 end as doubtful
    from check_gaps
),

slack as (select coalesce(max(tolerance_s(clock, clock)), 120) as tolerance from checks)

select
    limits.run_ix,
    merged_runs.machine_ix,
    merged_runs.part_no,
    limits.from_at,
    limits.to_at,
    limits.basis,
    limits.lines,
    limits.measured,
    limits.allowed,
    limits.measured as measured_s,
    limits.allowed as allowed_s,
    slack.tolerance,
    limits.attendance,
    limits.shift_ix,
    case
        when limits.to_kind = 'run-end' and limits.measured + limits.doubtful <= limits.allowed
            then 'not due'
    end as not_applicable,
    case
        when limits.time_missing and limits.measured + limits.doubtful > limits.allowed
            then 'time missing'
        when limits.measured <= limits.allowed and limits.measured + limits.doubtful > limits.allowed
            then 'state unknown'
    end as not_assessable,
    case
        when not limits.time_missing or limits.measured <= limits.allowed
            then limits.measured > limits.allowed
    end as exception
from limits
inner join merged_runs on limits.run_ix = merged_runs.run_ix
cross join slack

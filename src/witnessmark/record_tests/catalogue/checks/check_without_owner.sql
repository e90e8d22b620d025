/*---
finding = "A check fell due and nobody present at the machine held the role that owns it."
says = "Machine {machine_id} ({attendance}), line {line}, due {due_at}: {grounds}."
needs = ["runs", "checks", "allocations", "control_plan_lines.responsible_role_unattended"]
criteria = ["patrol_grace_share", "patrol_grace_least_min", "patrol_grace_most_min"]
clauses = ["A 8.5.1.1", "A 5.3.2", "Q 8.5.1"]
pattern = "systemic"
strata = ["attendance", "shift", "machine_id"]
key = ["run_id", "line", "due_at"]
since = "0.1"

[uses]
attendances = "Whoever was allocated counts as present: no clocked stays were given."
measurements = "A pass counts for every line that lists its kind: no measurements were given."
---
## What it tests
Whether, when a check of the control plan fell due, somebody present at the machine held the role
that the plan makes responsible for it: one role where the machine is attended, another where it is
not.

## Why it matters
The check may have been made all the same, by whoever came past. But a plan that names a role which
is not there at night, or no role at all for a machine without anybody, relies on chance.

## Population
Every time that a plan line with an interval fell due in a merged run: the clock at its last
completed check (or at release or start) plus the interval. A check that is made before that moves
it. Its ref is the run, the line and the time due.

## Not assessable
- Whether the check fell due depends on time of unknown state, or on a check without a time.
- How the machine was attended then is not known.
- On an attended machine: the plan names no role at all (rule absent).
- The plan names a role that allocations have no word for, such as a patrol on a roster of its own.
- The run goes on past the end of the data, and so may the time for the check.

## Traps
- The window lasts from the time due to its grace on the running clock: a stop in between makes it
  longer. Whoever holds the role at any time of it suffices.
- Automatic gauging is an owner: a role that begins with `automatic` is always there.
- Who came or left within minutes of the time for the check is shown as fragile.
- Every class but attended asks for the role for unattended machines; a watcher who covers is there
  in the role watcher.

## Ask next
On this machine, now, who makes the next check, and how does whoever it is know? Ask the same on
the shift with the fewest people.

## Source
Responsibility in the control plan and on all shifts: IATF 16949:2016 8.5.1.1, 5.3.2; ISO 9001:2015
8.5.1 (memory). Grace of 10 % of the interval, at least 10 and at most 30 minutes: common practice,
no source.
*/
with

-- No line of a gap has a shorter interval than its strictest limit less the longest grace.
gaps as (
    select
        *,
        unnest(line_ixs) as line_ix,
        case when basis = 'running-time' then running_s else wall_s end as known_s,
        case when basis = 'running-time' then unknown_s else 0 end as doubtful_s
    from check_gaps
    where
        case when basis = 'running-time' then running_s + unknown_s else wall_s end
        >= limit_s - $patrol_grace_most_s
),

intervals as (
    select
        run_ix,
        line_ix,
        max(interval_s) as interval_s,
        max(grace_s) as grace_s
    from due_lines
    where interval_s > 0
    group by run_ix, line_ix
),

due as (
    select
        gaps.run_ix,
        gaps.machine_ix,
        gaps.line_ix,
        gaps.basis,
        gaps.from_at,
        gaps.to_at,
        gaps.time_missing,
        intervals.interval_s,
        intervals.grace_s,
        gaps.known_s >= intervals.interval_s as is_reached,
        opening.running_s + opening.running_rate * date_diff('second', opening.from_at, gaps.from_at)
        + intervals.interval_s as due_reading
    from gaps
    inner join intervals on gaps.run_ix = intervals.run_ix and gaps.line_ix = intervals.line_ix
    asof left join clock_steps as opening
        on gaps.machine_ix = opening.machine_ix and gaps.from_at >= opening.from_at
    where gaps.known_s + gaps.doubtful_s >= intervals.interval_s
),

running as (
    select
        machine_ix,
        from_at,
        running_s,
        step_s
    from clock_steps
    where running_rate = 1
),

-- The instants at which the clock shows what is due, and what is due with its grace.
timed as (
    select
        due.*,
        merged_runs.machine_id,
        merged_runs.end_at,
        merged_runs.is_open,
        known_machines.area,
        case
            when not due.is_reached then due.to_at
            when due.basis = 'running-time'
                then opens.from_at + to_seconds(due.due_reading - opens.running_s)
            else due.from_at + to_seconds(due.interval_s)
        end as due_at,
        case
            when due.basis != 'running-time'
                then due.from_at + to_seconds(due.interval_s + due.grace_s)
            when due.due_reading + due.grace_s <= closes.running_s + closes.step_s
                then closes.from_at + to_seconds(due.due_reading + due.grace_s - closes.running_s)
        end as until_at
    from due
    inner join merged_runs on due.run_ix = merged_runs.run_ix
    inner join known_machines on due.machine_ix = known_machines.machine_ix
    asof left join running as opens
        on due.machine_ix = opens.machine_ix and due.due_reading > opens.running_s
    asof left join running as closes
        on due.machine_ix = closes.machine_ix and due.due_reading + due.grace_s > closes.running_s
),

asked as (
    select
        timed.* exclude (until_at),
        attendance_spans.class as attendance,
        case when timed.until_at < timed.end_at then timed.until_at else timed.end_at end as until_at,
        interval 240 second as doubtful,
        timed.is_open and (timed.until_at is null or timed.until_at > timed.end_at) as is_cut,
        lower(
            case
                when attendance_spans.class = 'attended' then plan_lines.responsible_role
                else plan_lines.responsible_role_unattended
            end
        ) as owner
    from timed
    inner join control_plan_lines as plan_lines on timed.line_ix = plan_lines.row_ix
    asof left join attendance_spans
        on timed.machine_ix = attendance_spans.machine_ix and timed.due_at >= attendance_spans.from_at
),

-- Up to when somebody in the role has been there, of all who began by then.
holders as (
    select
        machine_ix,
        role,
        from_at,
        max(to_at) over (partition by machine_ix, role order by from_at) as there_until
    from staffing_spans
    where is_present and not is_void
),

owned as (
    select
        asked.*,
        case when asked.due_at < shift_spans.end_at then shift_spans.shift end as shift,
        case
            when asked.due_at < shift_spans.end_at
                then shift_spans.shift_ref
        end as shift_ref,
        coalesce(holders.there_until > asked.due_at, starts_with(asked.owner, 'automatic'), false)
            as is_owned,
        coalesce(starts_with(asked.owner, 'automatic'), false) as is_automatic,
        coalesce(near.there_until > asked.due_at - asked.doubtful, false)
        and not coalesce(firm.there_until > asked.due_at + asked.doubtful, false) as is_close,
        asked.owner in ('operator', 'watcher', 'setter', 'leader', 'relief', 'trainee') as is_known_role
    from asked
    asof left join holders
        on
            asked.machine_ix = holders.machine_ix
            and asked.owner = holders.role
            and asked.until_at >= holders.from_at
    asof left join holders as near
        on
            asked.machine_ix = near.machine_ix
            and asked.owner = near.role
            and asked.until_at + asked.doubtful >= near.from_at
    asof left join holders as firm
        on
            asked.machine_ix = firm.machine_ix
            and asked.owner = firm.role
            and asked.until_at - asked.doubtful >= firm.from_at
    asof left join shift_spans
        on asked.area = shift_spans.area and asked.due_at >= shift_spans.start_at
),

judged as (
    select
        *,
        case
            when time_missing then 'time missing'
            when not is_reached then 'state unknown'
            when attendance is null or attendance = 'not-assessable'
                then 'not known how the machine was attended'
            when is_owned then null
            when owner is null and attendance = 'attended' then 'rule absent'
            when owner is null then null
            when not is_known_role then 'a role that allocations have no word for'
            when is_cut then 'window still open'
        end as doubt
    from owned
)

select
    run_ix,
    line_ix,
    machine_id,
    due_at,
    until_at,
    attendance,
    owner,
    shift,
    shift_ref,
    doubt as not_assessable,
    case when doubt is null then not is_owned end as exception,
    is_close and not is_automatic as fragile,
    case
        when owner is null then 'the plan names no role for it there'
        else 'nobody in the role ' || owner || ' present in the time for it'
    end as grounds
from judged

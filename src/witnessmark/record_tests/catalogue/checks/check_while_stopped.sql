/*---
finding = "A check was recorded while its machine had stood and made no piece since the check before."
says = "Check {check_id} on {machine_id} at {done_at}: stopped for {measured_s}, no piece since the check before."
needs = ["checks.done_at", "runs|machine_states"]
criteria = ["check_while_stopped_min"]
clauses = ["Q 7.5.3", "Q 8.5.1 c"]
pattern = "systemic"
strata = ["attendance", "shift"]
key = ["check_id"]
since = "0.1"

[uses]
machine_states = "Running time is taken from runs less stoppages: no machine states were given."
piece_counts = "Pieces of a set-up are not known: no counts were given."
runs = "A machine's first check has no run to begin from: no runs were given."
---
## What it tests
Whether a fresh piece could exist when a check was recorded: the machine had not stood for the
plant's limit or longer, or had made pieces since the check before.

## Why it matters
The piece can have come from a buffer, the laboratory can be slow, or the time was typed from
memory. If none of these holds, the sheet was filled by habit, and what it shows says little about
the process.

## Population
Every check. Its ref is the check. A last-off conforms: its machine has stopped by nature.

## Not assessable
- The check has no time, or its time occurred twice that night.
- No record says whether the machine ran in the time that would decide.

## Traps
- The time of a laboratory result is later than the time at which the piece was taken.
- Two systems' clocks differ: a stop that began just before the limit is shown as fragile.
- Pieces of a set-up are made before the machine counts as running; the counter shows them.
- A machine that another system counts may have run while its state says stopped.

## Ask next
May we see this shift's pieces beside this shift's readings? Where is a piece kept until it is
measured?

## Source
Control of recorded information: ISO 9001:2015 7.5.3; monitoring at planned stages: 8.5.1 c
(memory). Thirty minutes: common practice, no source.
*/
with

in_question as (
    select
        idle_checks.check_ix,
        idle_checks.machine_ix,
        idle_checks.done_at,
        idle_checks.before_at,
        idle_checks.doubtful_s,
        idle_checks.tolerance,
        known_machines.machine_id
    from idle_checks
    inner join known_machines on idle_checks.machine_ix = known_machines.machine_ix
    where coalesce(idle_checks.kind != 'last-off', true)
),

-- Pieces of a set-up are counted while the machine's state says that it stands.
standing as (
    select
        in_question.check_ix,
        in_question.doubtful_s,
        in_question.tolerance,
        running_states.state,
        coalesce(now_counted.cumulative > before_counted.cumulative, false) as has_counted,
        case
            when running_states.state = 'stopped'
                then date_diff('second', running_states.from_at, in_question.done_at)
        end as stopped_s
    from in_question
    asof left join piece_counts as now_counted
        on
            in_question.machine_id = now_counted.machine_id
            and in_question.done_at >= now_counted.counted_at
    asof left join piece_counts as before_counted
        on
            in_question.machine_id = before_counted.machine_id
            and in_question.before_at >= before_counted.counted_at
    asof left join running_states
        on
            in_question.machine_ix = running_states.machine_ix
            and in_question.done_at >= running_states.from_at
),

judged as (
    select
        *,
        case when state is null or state = 'unknown' or doubtful_s > 0 then 'state unknown' end
            as not_assessable,
        case
            when doubtful_s > 0 then null
            when state = 'running' then false
            else stopped_s >= $check_while_stopped_s
        end as exception,
        abs(stopped_s - $check_while_stopped_s) <= 2 * tolerance as fragile
    from standing
    where not has_counted
),

-- Few of all checks: every other has a time, and conforms.
told as materialized (
    select
        check_ix,
        stopped_s,
        not_assessable,
        exception,
        fragile
    from judged
    where exception is distinct from false or not_assessable is not null or fragile
    union all
    select
        check_ix,
        null as stopped_s,
        if(is_done_ambiguous, 'time ambiguous', 'time missing') as not_assessable,
        null as exception,
        false as fragile
    from check_context
    where done_at is null
)

select
    check_context.check_ix,
    check_context.machine_ix,
    check_context.done_at,
    told.stopped_s as measured_s,
    check_context.attendance,
    check_context.shift_ix,
    told.not_assessable,
    told.exception,
    told.fragile
from told
inner join check_context on told.check_ix = check_context.check_ix
union all
select
    check_ix,
    machine_ix,
    done_at,
    null as measured_s,
    attendance,
    shift_ix,
    null as not_assessable,
    false as exception,
    false as fragile
from check_context
where check_ix not in (select told.check_ix from told)

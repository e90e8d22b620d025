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

timed as (
    select
        checks.row_ix as check_ix,
        checks.machine_id,
        checks.kind,
        checks.done_at,
        known_machines.machine_ix,
        checks.done_at_quality = 'ambiguous' as is_ambiguous,
        tolerance_s(checks.clock, checks.clock) as tolerance
    from checks
    inner join known_machines on checks.machine_id = known_machines.machine_id
),

-- Checks of one machine at one instant share what the clock shows.
moments as (
    select distinct
        machine_ix,
        machine_id,
        done_at
    from timed
    where done_at is not null
),

clocked as (
    select
        moments.machine_ix,
        moments.done_at,
        piece_counts.cumulative,
        running_clock.running_s
        + case
            when running_clock.is_running then date_diff('second', running_clock.at, moments.done_at) else 0
        end
            as running_s,
        running_clock.unknown_s
        + case
            when running_clock.is_unknown then date_diff('second', running_clock.at, moments.done_at) else 0
        end
            as unknown_s
    from moments
    asof inner join running_clock
        on moments.machine_ix = running_clock.machine_ix and moments.done_at >= running_clock.at
    asof left join piece_counts
        on moments.machine_id = piece_counts.machine_id and moments.done_at >= piece_counts.counted_at
),

since_before as (
    select
        machine_ix,
        done_at,
        running_s - lag(running_s, 1, 0) over by_time as running_s,
        unknown_s - lag(unknown_s, 1, 0) over by_time as unknown_s,
        -- Pieces of a set-up are counted while the machine's state says that it stands.
        coalesce(cumulative > lag(cumulative) over by_time, false) as has_counted
    from clocked
    window by_time as (partition by machine_ix order by done_at)
),

standing as (
    select
        timed.check_ix,
        running_states.state,
        case
            when running_states.state = 'stopped'
                then date_diff('second', running_states.from_at, timed.done_at)
        end as stopped_s
    from timed
    asof inner join running_states
        on timed.machine_ix = running_states.machine_ix and timed.done_at >= running_states.from_at
)

select
    timed.check_ix,
    timed.machine_id,
    timed.done_at,
    standing.stopped_s as measured_s,
    check_context.attendance,
    check_context.shift,
    check_context.shift_ref,
    case
        when timed.is_ambiguous then 'time ambiguous'
        when timed.done_at is null then 'time missing'
        when timed.kind = 'last-off' or since_before.running_s > 0 or since_before.has_counted then null
        when standing.state is null or standing.state = 'unknown' or since_before.unknown_s > 0
            then 'state unknown'
    end as not_assessable,
    case
        when timed.done_at is null then null
        when timed.kind = 'last-off' or since_before.running_s > 0 or since_before.has_counted then false
        when since_before.unknown_s > 0 then null
        when standing.state = 'running' then false
        else standing.stopped_s >= $check_while_stopped_s
    end as exception,
    timed.kind <> 'last-off' and since_before.running_s = 0 and not since_before.has_counted
    and abs(standing.stopped_s - $check_while_stopped_s) <= 2 * timed.tolerance as fragile
from timed
left join since_before
    on timed.machine_ix = since_before.machine_ix and timed.done_at = since_before.done_at
left join standing on timed.check_ix = standing.check_ix
left join check_context on timed.check_ix = check_context.check_ix

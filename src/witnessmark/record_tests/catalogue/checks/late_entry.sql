/*---
finding = "A check was entered too long after, or before, it was done to trigger a reaction."
says = "Check {check_id} was done on {done_at} and entered on {entered_at} ({delay_s} later)."
needs = ["checks.done_at", "checks.entered_at"]
criteria = ["late_entry_min"]
clauses = ["Q 7.5.3", "Q 8.5.1 c"]
pattern = "systemic"
strata = ["attendance", "shift"]
key = ["check_id"]
since = "0.1"
---
## What it tests
Whether each check was entered soon after it was done: within the plant's limit, and not before
the time it states.

## Why it matters
A late entry may only mean that results are written on paper first and typed by a clerk, by rule.
But a value that is entered at the end of the shift could not have stopped the machine when it
was found.

## Population
Every check. Its ref is the check.

## Not assessable
- One of the two times is missing, or occurred twice that night.
- The export has one time only: nobody can say how far the two lie apart.

## Traps
- A documented way from paper to terminal: state its limit as late_entry_min.
- A terminal that uploads when it is online again stamps many checks with the same second.
- A check entered a few minutes before the time it states can be a rounded time: inside the
  tolerance of one clock it conforms, and is shown as fragile.

## Ask next
May we see a sheet that is not finished yet, now, in the middle of a shift? When does a result
reach the person who would have to act on it?

## Source
Control of recorded information: ISO 9001:2015 7.5.3; monitoring at planned stages: 8.5.1 c
(memory). The limit of 30 minutes: common practice, no source.
*/
with timed as (
    select
        *,
        date_diff('second', done_at, entered_at) as delay_s
    from check_context
)

select
    check_ix,
    done_at,
    entered_at,
    delay_s,
    attendance,
    shift_ix,
    case
        when is_done_ambiguous or is_entered_ambiguous then 'time ambiguous'
        when delay_s is null then 'time missing'
    end as not_assessable,
    delay_s > $late_entry_s or delay_s < -tolerance as exception,
    abs(delay_s - $late_entry_s) <= 2 * tolerance
    or (delay_s < 0 and delay_s >= -3 * tolerance) as fragile
from timed

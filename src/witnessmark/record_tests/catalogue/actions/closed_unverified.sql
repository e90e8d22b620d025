/*---
finding = "An action was closed and the records do not demonstrate its effect."
says = "Action {ref} ({kind}) on concern {concern_id} was put in place on {implemented_at}, verified on {verified_at} and closed on {closed_at}: {ground}."
needs = ["actions.closed_at", "actions.verified_at", "actions.verify_evidence", "concerns", "runs"]
criteria = []
clauses = ["Q 10.2.1 d", "Q 10.2.2", "A 10.2.3"]
pattern = "systemic"
strata = ["area", "letter", "kind"]
key = ["action_id"]
since = "0.1"

[uses]
board_rules = "Whether the letter's indicator became better is not looked for: no board rules were given."
board_measures = "Whether the letter's indicator became better is not looked for: no measures were described."
---
## What it tests
Whether a closed action shows that it worked: evidence of verification, taken on a later day than
the action was put in place, after the product or machine had run again, and an indicator that is
better than before, where the concern's letter has a measure.

## Why it matters
The action may well have worked. But if it is closed before the part ever ran again, or on the day
it was put in place, nobody could have seen that: activity was counted as result.

## Population
Every closed action. Its ref is the action. Containment protects at once and is not applicable.

Grounds, the first that holds is named: no evidence of verification; verified on or before the day it
was put in place; no run of the concern's part (without a part: of its machine) between the end of
that day and the verification; the indicator is not better.

## Not assessable
- The time at which it was put in place or verified is missing, or occurred twice that night.
- The concern is not on the list, or names neither part nor machine.
- The runs on record do not reach over the time between.
- The indicator cannot be computed before and after.

## Traps
- Verification may stand in another record than the action list: ask before writing.
- Where the day of verification is missing, exposure up to the closing counts: none up to then is
  none before the verification either.
- Nothing can recur while the part does not run: absence is no evidence.
- Before is every production day before the concern was raised, so that the days that led to it do
  not make the comparison look good; after is from the day after it was put in place to the
  verification. An indicator that meets its threshold after the action is no exception.
- Few events prove nothing either way; a letter sums up more than one cause.

## Ask next
Which number would have told you that it failed? When did the part next run after the change, and
who looked?

## Source
Reviewing the effectiveness of corrective action: ISO 9001:2015 10.2.1 d and 10.2.2; problem
solving: IATF 16949:2016 10.2.3 (memory). Exposure before verification: common practice, no source.
*/
with closed as (
    select
        actions.action_id,
        actions.concern_id,
        actions.kind,
        actions.implemented_at,
        actions.verified_at,
        actions.closed_at,
        actions.verify_evidence,
        concerns.area,
        concerns.letter,
        concerns.part_no,
        concerns.machine_id,
        concerns.concern_id is null as is_concern_missing,
        coalesce(concerns.production_date, local_date(concerns.raised_at)) as raised_on,
        local_date(actions.implemented_at) as implemented_on,
        local_date(actions.verified_at) as verified_on,
        utc_time(cast(local_date(actions.implemented_at) + 1 as timestamp)) as exposed_from,
        coalesce(actions.verified_at_quality = 'ambiguous', false)
        or coalesce(actions.implemented_at_quality = 'ambiguous', false) as is_ambiguous,
        -- Without a day of verification it lies before the closing, if anywhere.
        coalesce(actions.verified_at, actions.closed_at) as exposed_to
    from actions
    left join concerns on actions.concern_id = concerns.concern_id
    where actions.closed_at is not null or actions.closed_at_quality is not null
),

reach as (
    select
        min(start_at) as first_at,
        max(end_at) as last_at
    from run_spans
),

exposed as (
    select
        closed.action_id,
        count(*) as runs
    from closed
    inner join run_spans
        on
            closed.exposed_to > run_spans.start_at
            and closed.exposed_from < run_spans.end_at
            and case
                when closed.part_no is not null then closed.part_no = run_spans.part_no
                else closed.machine_id = run_spans.machine_id
            end
    group by closed.action_id
),

-- The measure of the concern's letter, by day, before the concern and after the action.
phases as (
    select
        closed.action_id,
        board_values.measure,
        board_values.comparator,
        board_values.threshold,
        board_values.production_date,
        board_values.numerator_final as amount,
        coalesce(board_values.denominator_final, 1) as scale,
        board_values.production_date < closed.raised_on as is_before,
        board_values.production_date > closed.implemented_on
        and board_values.production_date <= closed.verified_on as is_after
    from closed
    inner join board_values
        on
            closed.area = board_values.area
            and closed.letter = board_values.letter
            and board_values.measure is not null
),

indicators as (
    select
        action_id,
        count(distinct measure) as measures,
        arg_max(comparator, production_date) as comparator,
        arg_max(threshold, production_date) as threshold,
        sum(amount) filter (where is_before) / sum(scale) filter (where is_before and amount is not null)
            as value_before,
        sum(amount) filter (where is_after) / sum(scale) filter (where is_after and amount is not null)
            as value_after
    from phases
    group by action_id
),

scored as (
    select
        *,
        case comparator
            when '>=' then value_after >= threshold
            when '<=' then value_after <= threshold
            else value_after = threshold
        end as is_met,
        case comparator
            when '>=' then value_after > value_before
            when '<=' then value_after < value_before
            else abs(value_after - threshold) < abs(value_before - threshold)
        end as is_better
    from indicators
),

grounded as (
    select
        closed.*,
        case
            when closed.kind = 'containment' then null
            when closed.verify_evidence is null then 'no evidence of verification'
            when closed.verified_on <= closed.implemented_on
                then 'verified not later than the day on which it was put in place'
            when
                exposed.action_id is null
                and closed.exposed_from >= reach.first_at
                and closed.exposed_to <= reach.last_at
                and coalesce(closed.part_no, closed.machine_id) is not null
                then 'no run of the part or machine between that day and the verification'
            when scored.measures = 1 and not scored.is_met and not scored.is_better
                then 'the indicator of the letter is not better'
        end as ground,
        case
            when closed.is_ambiguous then 'time ambiguous'
            when closed.implemented_at is null or closed.verified_at is null then 'time missing'
            when closed.is_concern_missing then 'the concern is not on the list'
            when coalesce(closed.part_no, closed.machine_id) is null
                then 'the concern names neither part nor machine'
            when exposed.action_id is null then 'the runs on record do not reach over that time'
            when scored.measures > 0 and (scored.measures > 1 or scored.is_better is null)
                then 'the indicator cannot be computed before and after'
        end as reason
    from closed
    cross join reach
    left join exposed on closed.action_id = exposed.action_id
    left join scored on closed.action_id = scored.action_id
)

select
    action_id,
    concern_id,
    kind,
    area,
    letter,
    implemented_at,
    verified_at,
    closed_at,
    ground,
    case when kind = 'containment' then 'containment' end as not_applicable,
    case when ground is null then reason end as not_assessable,
    case
        when ground is not null then true
        when reason is null then false
    end as exception
from grounded

/*---
finding = "An action was closed and its effect is not shown by a verification after exposure."
says = "Action {ref}, closed on {closed_at}: {grounds}."
needs = ["actions", "concerns"]
criteria = []
clauses = ["Q 10.2.1", "Q 10.2.2", "A 10.2.3"]
pattern = "systemic"
strata = ["area", "kind"]
key = ["action_id"]
since = "0.1"

[uses]
runs = "Whether the part or machine ran between implementation and verification is not looked at: no runs were given."
---
## What it tests
Whether each closed action has evidence that its effect was verified, after the day of its
implementation, and after the part or machine had run again.

## Why it matters
The verification may stand in another record; ask for it first. A cause that had no occasion to
show itself has not been shown to be gone: activity was counted as result.

## Population
Every closed action that is not a containment. Its ref is the action. Containment is not applicable:
it protects product, and is not meant to remove a cause.

## Not assessable
- Verified, and the time of implementation or verification is missing or ambiguous.
- The concern names neither part nor machine, so that exposure cannot be told.

## Traps
- Exposure is a run of the concern's part, else its machine, after the day of implementation.
- Without a verification date, what lies between implementation and closing counts.
- Whether the indicator got better is looked at where a measure is mapped to the concern; none is
  here, so that ground is left out.

## Ask next
Which number would have told you that it had failed? When did the part run next?

## Source
Effect of corrective action reviewed: ISO 9001:2015 10.2.1 d, 10.2.2; IATF 16949:2016 10.2.3
(memory). Exposure before verification: common practice, no source.
*/
with

closed as (
    select
        actions.*,
        concerns.area,
        concerns.machine_id,
        concerns.part_no,
        coalesce(actions.verified_at, actions.closed_at) as judged_at,
        utc_time(cast(local_date(actions.implemented_at) as timestamp) + to_days(1)) as exposed_from
    from actions
    left join concerns on actions.concern_id = concerns.concern_id
    where actions.closed_at is not null or actions.closed_at_quality = 'ambiguous'
),

exposure as (
    select
        closed.action_id,
        count(*) as n
    from closed
    inner join runs
        on
            (runs.part_no = closed.part_no or (closed.part_no is null and runs.machine_id = closed.machine_id))
            and runs.start_at < closed.judged_at
            and coalesce(runs.end_at > closed.exposed_from, true)
    group by closed.action_id
),

judged as (
    select
        closed.*,
        closed.verify_evidence is null as is_bare,
        local_date(closed.verified_at) <= local_date(closed.implemented_at) as is_same_day,
        exists (select 1 from runs) as has_runs,
        closed.part_no is null and closed.machine_id is null as is_placeless,
        coalesce(exposure.n, 0) = 0 as is_unexposed
    from closed
    left join exposure using (action_id)
)

select
    action_id,
    area,
    kind,
    closed_at,
    case
        when is_bare then 'no evidence of a verification is on record'
        when is_same_day then 'it was verified on the day of its implementation or before'
        else 'the part or machine had not run between implementation and '
            || case when verified_at is null then 'closing' else 'verification' end
    end as grounds,
    case when kind = 'containment' then 'containment' end as not_applicable,
    case
        when is_bare or coalesce(is_same_day, false) then null
        when 'ambiguous' in (implemented_at_quality, verified_at_quality, closed_at_quality)
            then 'time ambiguous'
        when implemented_at is null or judged_at is null then 'time missing'
        when has_runs and is_placeless then 'neither part nor machine named'
    end as not_assessable,
    case
        when is_bare or coalesce(is_same_day, false) then true
        when implemented_at is null or judged_at is null then null
        when not has_runs then false
        when not is_placeless then is_unexposed
    end as exception
from judged

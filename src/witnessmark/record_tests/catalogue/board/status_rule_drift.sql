/*---
finding = "A letter of a board has no written rule, one that moves, or one colour only."
says = "Letter {letter} of area {area} in {quarter}, {days} days with a colour: {grounds}."
needs = ["board_statuses.colour", "board_rules"]
criteria = ["status_saturated_days", "status_drift_days"]
clauses = ["Q 6.2.1", "Q 9.1.1"]
pattern = "systemic"
strata = ["area", "letter"]
key = ["area", "letter", "quarter"]
since = "0.1"
---
## What it tests
Whether the colours of a letter follow one written threshold: that there is one for each day, that
the values and colours of two months fit the same one, that the target on the board stays at it, and
that the letter shows more than one colour over a long time.

## Why it matters
A letter that is always green may mean that all is well. It may also mean that the threshold asks
for nothing, or that it follows the result: then the letter tells nobody when to act.

## Population
Area, letter and calendar quarter with at least one colour. Its ref is area, letter and quarter.
Grounds, any of which is an exception:
- a day with a colour and no rule valid, or a rule without a threshold;
- two successive months under one rule, each with the threshold that fits its colours best: no common
  one explains them, by at least the days of status_drift_days (default 2);
- green, or red, on so many days with a colour in a row (default 60), reached in the quarter;
- the target on the board changed and left the written threshold that it had stood at;
- a new threshold for which neither a role nor a document is recorded, where others have one.

## Not assessable
- No value stands on the board in a month with colours: a moving threshold could not be seen.
- A new threshold, and nowhere on record who sets thresholds.

## Traps
- A target that is planned anew for each day never stood at the threshold and is not compared.
- A new rule starts anew: months are compared only under the same one.
- One day out of line is no drift; it belongs to status-disagreement.
- Changes may be approved in another document than the board's rule.
- The letter of a rare event is rightly green for months.

## Ask next
Could three leaders tell us, each alone, from which figure on this letter is red? Who may change the
target, and where would we see that it was changed?

## Source
Measurable objectives and evaluation: ISO 9001:2015 6.2.1 and 9.1.1 (memory). Sixty days of one
colour, and two days that fit no common threshold: common practice, no source.
*/
with fields as (
    select
        *,
        strftime(production_date, '%Y-%m') as month_name,
        concat(year(production_date), '-Q', quarter(production_date)) as quarter,
        lag(target) over in_time as last_target,
        coalesce(bool_or(target = threshold) over (
            in_time rows between unbounded preceding and 1 preceding
        ), false) as stood_at_threshold
    from board_units
    where colour in ('green', 'amber', 'red')
    window in_time as (partition by area, letter order by production_date, shift nulls first)
),

days as (
    select
        area,
        letter,
        quarter,
        month_name,
        production_date,
        case when count(distinct colour) = 1 then max(colour) else 'several' end as colour,
        bool_or(threshold is null) as is_unruled
    from fields
    group by area, letter, quarter, month_name, production_date
),

changed as (
    select
        *,
        coalesce(
            colour <> lag(colour) over (partition by area, letter order by production_date), true
        ) as is_change
    from days
),

numbered as (
    select
        *,
        count(*) filter (where is_change) over (
            partition by area, letter order by production_date
        ) as streak_no
    from changed
),

streaks as (
    select
        *,
        row_number() over (partition by area, letter, streak_no order by production_date) as streak_days
    from numbered
),

drifts as (
    select
        area,
        letter,
        quarter,
        string_agg(earlier_month || ' and ' || later_month, ', ' order by later_month) as months
    from threshold_fits
    where misfits >= $status_drift_days
    group by area, letter, quarter
),

approvers as (
    select count(*) > 0 as are_kept
    from board_rules
    where coalesce(set_by_role, doc_ref) is not null
),

approvals as (
    select
        board_rules.area,
        board_rules.letter,
        board_rules.valid_from,
        approvers.are_kept,
        coalesce(board_rules.set_by_role, board_rules.doc_ref) is not null as is_approved,
        coalesce(
            board_rules.threshold <> lag(board_rules.threshold) over (
                partition by board_rules.area, board_rules.letter order by board_rules.valid_from
            ),
            false
        ) as is_new_threshold
    from board_rules
    cross join approvers
),

summed as (
    select
        fields.area,
        fields.letter,
        fields.quarter,
        count(*) as fields,
        count(distinct fields.production_date) filter (where fields.threshold is null) as unruled,
        min(fields.production_date) filter (
            where
            fields.stood_at_threshold
            and fields.target <> fields.last_target
            and fields.target <> fields.threshold
        ) as left_on,
        min(approvals.valid_from) filter (
            where approvals.is_new_threshold and not approvals.is_approved and approvals.are_kept
        ) as unapproved_from,
        bool_or(
            coalesce(approvals.is_new_threshold, false) and not approvals.are_kept
        ) as has_unknown_approval
    from fields
    left join approvals
        on
            fields.area = approvals.area
            and fields.letter = approvals.letter
            and fields.rule_from = approvals.valid_from
            and fields.quarter = concat(year(approvals.valid_from), '-Q', quarter(approvals.valid_from))
    group by fields.area, fields.letter, fields.quarter
),

streaked as (
    select
        area,
        letter,
        quarter,
        count(*) as days,
        max(streak_days) filter (where colour in ('green', 'red')) as longest,
        arg_max(colour, streak_days) filter (where colour in ('green', 'red')) as colour
    from streaks
    group by area, letter, quarter
),

unvalued as (
    select
        area,
        letter,
        quarter
    from (
        select
            area,
            letter,
            quarter,
            count(actual) as n
        from fields
        group by area, letter, quarter, month_name
    ) as months
    group by area, letter, quarter
    having min(n) = 0
),

judged as (
    select
        summed.*,
        streaked.days,
        unvalued.area is not null as is_unvalued,
        concat_ws(
            '; ',
            case when summed.unruled > 0 then 'days without a written threshold: ' || summed.unruled end,
            'no common threshold explains the colours of ' || drifts.months,
            case
                when streaked.longest >= $status_saturated_days
                    then streaked.colour || ' on ' || streaked.longest || ' of them in a row'
            end,
            'the target left the written threshold on ' || summed.left_on,
            'no role and no document for the threshold of ' || summed.unapproved_from
        ) as grounds
    from summed
    inner join streaked
        on
            summed.area = streaked.area
            and summed.letter = streaked.letter
            and summed.quarter = streaked.quarter
    left join drifts
        on
            summed.area = drifts.area
            and summed.letter = drifts.letter
            and summed.quarter = drifts.quarter
    left join unvalued
        on
            summed.area = unvalued.area
            and summed.letter = unvalued.letter
            and summed.quarter = unvalued.quarter
)

select
    area,
    letter,
    quarter,
    days,
    grounds,
    case
        when is_unvalued then 'no values on the board'
        when has_unknown_approval then 'not recorded who set the new threshold'
    end as not_assessable,
    case
        when grounds <> '' then true
        when not is_unvalued and not has_unknown_approval then false
    end as exception
from judged

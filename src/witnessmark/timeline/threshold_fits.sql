/*---
about = "one row per letter and pair of months under one rule: how well one threshold explains both"
criteria = []
sorted = ["area", "letter", "earlier_month", "later_month", "rule_from"]
---
From the values and colours that stand on the board: the threshold that fits a month best is the one
with the fewest days on its wrong side (green is the right side, amber and red are the other).
`misfits` is how many more days are on the wrong side if both months are to have one threshold. Zero
means that a common one explains them as well. Each month is compared with the one before it on
record under the same rule, and only rules with an order (at least, at most) are; `quarter` is that
of the later month.
*/
with points as (
    select
        area,
        letter,
        rule_from,
        strftime(production_date, '%Y-%m') as month_name,
        concat(year(production_date), '-Q', quarter(production_date)) as quarter,
        colour = 'green' as is_green,
        case when comparator = '<=' then -actual else actual end as score
    from board_units
    where
        actual is not null
        and comparator in ('>=', '<=')
        and colour in ('green', 'amber', 'red')
),

candidates as (
    select distinct
        area,
        letter,
        rule_from,
        score
    from points
    union
    select
        area,
        letter,
        rule_from,
        max(score) + 1 as score
    from points
    group by area, letter, rule_from
),

misfits as (
    select
        points.area,
        points.letter,
        points.quarter,
        points.rule_from,
        points.month_name,
        candidates.score,
        count(*) filter (where points.is_green <> (points.score >= candidates.score)) as misfits
    from points
    inner join candidates
        on
            points.area = candidates.area
            and points.letter = candidates.letter
            and points.rule_from = candidates.rule_from
    group by
        points.area, points.letter, points.quarter, points.rule_from, points.month_name, candidates.score
),

fitted as (
    select
        *,
        min(misfits) over (partition by area, letter, rule_from, month_name) as fewest,
        dense_rank() over (partition by area, letter, rule_from order by month_name) as month_no
    from misfits
)

select
    later.area,
    later.letter,
    later.quarter,
    later.rule_from,
    earlier.month_name as earlier_month,
    later.month_name as later_month,
    min(earlier.misfits + later.misfits) - min(earlier.fewest + later.fewest) as misfits
from fitted as earlier
inner join fitted as later
    on
        earlier.area = later.area
        and earlier.letter = later.letter
        and earlier.rule_from = later.rule_from
        and earlier.score = later.score
        and earlier.month_no + 1 = later.month_no
group by
    later.area, later.letter, later.quarter, later.rule_from, earlier.month_name, later.month_name

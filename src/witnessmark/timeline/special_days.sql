/*---
about = "one row per part and stretch in which its control plan marked a special characteristic"
criteria = []
sorted = ["part_no", "from_at"]
---
Read as of each day: of a plan's revisions the latest valid one counts, with all its lines.
*/
with revisions as (
    select
        plan_no,
        part_no,
        rev,
        min(valid_from) as since,
        case when count(valid_to) = count(*) then max(valid_to) + 1 end as until_on,
        bool_or(special_class is not null) as is_special
    from control_plan_lines
    where valid_from is not null
    group by plan_no, part_no, rev
),

followed as (
    select
        *,
        lead(since) over (partition by plan_no, part_no order by since, rev) as next_since
    from revisions
)

select
    part_no,
    utc_time(cast(since as timestamp)) as from_at,
    coalesce(
        utc_time(cast(case when until_on < next_since then until_on end as timestamp)),
        utc_time(cast(next_since as timestamp)),
        utc_time(cast(until_on as timestamp)),
        timestamp '9999-12-31'
    ) as to_at
from followed
where is_special

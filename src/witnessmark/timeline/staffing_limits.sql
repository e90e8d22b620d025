/*---
about = "one row per area and stretch in which the same staffing rules were valid"
criteria = []
sorted = ["area", "from_at"]
---
What the plant's own rules allow: whether neighbours may watch, and how many machines one person may
look after. Of several rules valid at once any serves, so the most generous one binds; null where
none states a number.
*/
with days as (
    select
        area,
        unnest([valid_from, valid_to + 1]) as since
    from staffing_rules
),

followed as (
    select
        area,
        since,
        lead(since) over (partition by area order by since) as until_on
    from (
        select distinct
            area,
            since
        from days
        where since is not null
    ) as changes
)

select
    followed.area,
    utc_time(cast(followed.since as timestamp)) as from_at,
    coalesce(
        utc_time(cast(followed.until_on as timestamp)), timestamp '9999-12-31'
    ) as to_at,
    coalesce(bool_or(rules.watching_allowed), false) as is_watching_allowed,
    max(rules.max_machines_per_person) as max_machines
from followed
inner join staffing_rules as rules
    on
        followed.area = rules.area
        and followed.since >= rules.valid_from
        and followed.since <= coalesce(rules.valid_to, followed.since)
group by followed.area, followed.since, followed.until_on

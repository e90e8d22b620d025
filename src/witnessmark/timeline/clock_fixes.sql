/*---
about = "one row per clock and stretch of time in which its measured offset holds"
criteria = []
sorted = ["clock_id", "valid_from"]
---
For the reader: the canonical views show true time already. The tolerance is that of this clock
against a system of another clock without drift. Before a clock's first row no offset is known.
*/
with numbered as (
    select
        clock_id,
        valid_from,
        offset_s,
        lead(valid_from) over (partition by clock_id order by valid_from) as valid_to,
        coalesce(drift_s_per_day, 0) as drift_s_per_day
    from clocks
    where valid_from is not null
)

select
    clock_id,
    valid_from,
    valid_to,
    offset_s,
    drift_s_per_day,
    300 + cast(round(abs(drift_s_per_day)) as integer) as tolerance_s
from numbered

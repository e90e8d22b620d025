/*---
about = "one row per board field and basis: until when a record may have come in to count"
criteria = []
sorted = ["unit_ix", "basis"]
---
`known` counts what was on record when the colour was set; a field without a certain time of setting
has no such row. `final` counts everything that is on record today. Only fields whose measure is
described in `board_measures` are here, with the quantities that it names.
*/
with measured as (
    select
        board_units.unit_ix,
        board_units.area,
        board_units.production_date,
        board_units.shift,
        board_units.ends_at,
        board_units.declared_at,
        list_distinct([board_measures.numerator, board_measures.denominator]) as quantities
    from board_units
    inner join board_measures on board_units.measure = board_measures.measure
)

select
    unit_ix,
    'known' as basis,
    area,
    production_date,
    shift,
    ends_at,
    declared_at as until_at,
    quantities
from measured
where declared_at is not null
union all
select
    unit_ix,
    'final' as basis,
    area,
    production_date,
    shift,
    ends_at,
    timestamp '9999-12-30' as until_at,
    quantities
from measured

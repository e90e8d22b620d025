/*---
about = "one row per board field: its value and colour by the plant's own rule, as known then and final"
criteria = []
sorted = ["unit_ix"]
---
Area, letter, production day, and shift where the letter is kept by shift. The colour is recomputed
by the rule that was valid on that day, twice: with what was on record when the colour was set
(`known`), and with everything that is on record today (`final`). Which records count, and how each
quantity is found, is said at `board_moments`, `board_pieces` and `board_counts`.

A measure with a denominator is a share, compared exactly with the threshold; `colour_rounded` is
the colour of the known share rounded to a whole percent, as boards print it. Green is what meets
the threshold, amber what meets the amber threshold only, red the rest; for `==` amber is what is no
further from the threshold than the amber one.

Where a colour is null, `why_not_known` and `why_not_final` say why. Overtime in hours of persons
and regular hours of shifts make no share.
*/
with amounts as (
    select
        unit_ix,
        basis,
        quantity,
        amount,
        why_not
    from board_pieces
    union all
    select
        unit_ix,
        basis,
        quantity,
        amount,
        why_not
    from board_counts
),

bases as (select unnest(['known', 'final']) as basis),

parts as (
    select
        board_units.*,
        bases.basis,
        board_measures.denominator is not null as is_share,
        above.amount as numerator,
        below.amount as denominator,
        case
            when bases.basis = 'known' and board_units.declared_at_quality = 'ambiguous' then 'time ambiguous'
            when bases.basis = 'known' and board_units.declared_at is null then 'time missing'
            when board_units.rule_from is null or board_units.threshold is null then 'rule absent'
            when board_measures.measure is null then 'rule absent: its measure is not described'
            when board_measures.numerator is null then 'rule absent: its measure is not described'
            when
                board_measures.numerator in ('overtime hours', 'regular hours')
                and board_measures.denominator in ('overtime hours', 'regular hours')
                and board_measures.numerator <> board_measures.denominator
                then 'hours of persons and hours of shifts make no share'
            when above.amount is null then above.why_not
            when board_measures.denominator is null then null
            when below.amount is null then below.why_not
            when below.amount = 0 then 'nothing to divide by'
        end as why_not
    from board_units
    cross join bases
    left join board_measures on board_units.measure = board_measures.measure
    left join amounts as above
        on
            board_units.unit_ix = above.unit_ix
            and bases.basis = above.basis
            and board_measures.numerator = above.quantity
    left join amounts as below
        on
            board_units.unit_ix = below.unit_ix
            and bases.basis = below.basis
            and board_measures.denominator = below.quantity
),

compared as (
    select
        *,
        numerator as measured,
        case when is_share then denominator else 1 end as scale
    from parts
    where why_not is null
    union all
    select
        * replace ('rounded' as basis),
        cast(round(numerator / denominator, 2) as decimal(18, 6)) as measured,
        1 as scale
    from parts
    where why_not is null and is_share and basis = 'known'
),

coloured as (
    select
        unit_ix,
        basis,
        case
            when comparator = '>=' and measured >= threshold * scale then 'green'
            when comparator = '<=' and measured <= threshold * scale then 'green'
            when comparator = '==' and measured = threshold * scale then 'green'
            when comparator = '>=' and measured >= amber_threshold * scale then 'amber'
            when comparator = '<=' and measured <= amber_threshold * scale then 'amber'
            when
                comparator = '=='
                and abs(measured - threshold * scale) <= abs(amber_threshold - threshold) * scale
                then 'amber'
            when comparator is not null then 'red'
        end as colour
    from compared
),

fields as (
    select
        unit_ix,
        max(numerator) filter (where basis = 'known' and why_not is null) as numerator_known,
        max(denominator) filter (where basis = 'known' and why_not is null and is_share) as denominator_known,
        max(numerator) filter (where basis = 'final' and why_not is null) as numerator_final,
        max(denominator) filter (where basis = 'final' and why_not is null and is_share) as denominator_final,
        max(why_not) filter (where basis = 'known') as why_not_known,
        max(why_not) filter (where basis = 'final') as why_not_final
    from parts
    group by unit_ix
),

colours as (
    select
        unit_ix,
        max(colour) filter (where basis = 'known') as colour_known,
        max(colour) filter (where basis = 'final') as colour_final,
        max(colour) filter (where basis = 'rounded') as colour_rounded
    from coloured
    group by unit_ix
)

select
    board_units.unit_ix,
    board_units.area,
    board_units.letter,
    board_units.production_date,
    board_units.shift,
    board_units.measure,
    board_units.comparator,
    board_units.threshold,
    board_units.amber_threshold,
    fields.numerator_known,
    fields.denominator_known,
    fields.numerator_final,
    fields.denominator_final,
    colours.colour_known,
    colours.colour_final,
    fields.why_not_known,
    fields.why_not_final,
    cast(fields.numerator_known as double) / coalesce(fields.denominator_known, 1) as value_known,
    cast(fields.numerator_final as double) / coalesce(fields.denominator_final, 1) as value_final,
    coalesce(colours.colour_rounded, colours.colour_known) as colour_rounded
from board_units
inner join fields on board_units.unit_ix = fields.unit_ix
left join colours on board_units.unit_ix = colours.unit_ix

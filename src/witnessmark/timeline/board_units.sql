/*---
about = "one row per area, letter and production day (or shift) that a board speaks or should speak about"
criteria = []
sorted = ["unit_ix"]
---
Every field of a board with its latest colour (the highest version), and every letter that is
missing on a day, or shift, on which its area produced. A letter belongs to a board from its first
to its last colour, and on every day on which the plant has a rule for it; it is kept by shift if
any of its colours names a shift.

The rule is the latest one valid on the production day. `ends_at` is the end of the shift or of the
day's last shift; where none is on record, midnight of the plant's zone. `produced` is null where
nobody can tell (`shift_production`).
*/
with latest as (
    select *
    from board_statuses
    qualify
        row_number() over (
            partition by area, letter, production_date, shift
            order by coalesce(version, -1) desc, row_ix
        ) = 1
),

letters as (
    select
        area,
        letter,
        min(production_date) as first_on,
        max(production_date) as last_on,
        bool_or(shift is not null) as is_by_shift
    from board_statuses
    group by area, letter
),

known_letters as (
    select
        area,
        letter
    from letters
    union
    select
        area,
        letter
    from board_rules
),

days as (
    select
        shift_production.area,
        shift_production.production_date,
        shift_production.shift,
        max(shift_spans.end_at) as ends_at,
        case
            when bool_or(shift_production.produced) then true
            when count(shift_production.produced) = count(*) then false
        end as produced
    from shift_production
    left join shift_spans on shift_production.shift_ix = shift_spans.shift_ix
    group by
        grouping sets (
            (shift_production.area, shift_production.production_date, shift_production.shift),
            (shift_production.area, shift_production.production_date)
        )
),

reaches as (
    select
        area,
        min(production_date) as first_on,
        max(production_date) as last_on
    from days
    group by area
),

asked as (
    select
        area,
        letter,
        production_date,
        shift
    from latest
    union
    select
        known_letters.area,
        known_letters.letter,
        days.production_date,
        days.shift
    from known_letters
    inner join days on known_letters.area = days.area
    left join letters
        on
            known_letters.area = letters.area
            and known_letters.letter = letters.letter
    where days.produced and (days.shift is not null) = coalesce(letters.is_by_shift, false)
),

ruled as (
    select
        asked.area,
        asked.letter,
        asked.production_date,
        max(board_rules.valid_from) as rule_from
    from asked
    inner join board_rules
        on
            asked.area = board_rules.area
            and asked.letter = board_rules.letter
            and asked.production_date >= board_rules.valid_from
            and asked.production_date <= coalesce(board_rules.valid_to, date '9999-12-31')
    group by asked.area, asked.letter, asked.production_date
),

units as (
    select
        asked.area,
        asked.letter,
        asked.production_date,
        asked.shift,
        latest.version,
        latest.colour,
        latest.target,
        latest.actual,
        latest.reason,
        latest.declared_at,
        latest.declared_at_quality,
        latest.action_ref,
        latest.no_action_reason,
        ruled.rule_from,
        latest.area is not null as is_on_board
    from asked
    left join latest
        on
            asked.area = latest.area
            and asked.letter = latest.letter
            and asked.production_date = latest.production_date
            and asked.shift is not distinct from latest.shift
    left join ruled
        on
            asked.area = ruled.area
            and asked.letter = ruled.letter
            and asked.production_date = ruled.production_date
    left join letters
        on
            asked.area = letters.area
            and asked.letter = letters.letter
    where
        latest.area is not null
        or ruled.area is not null
        or asked.production_date between letters.first_on and letters.last_on
)

select
    units.*,
    board_rules.measure,
    board_rules.comparator,
    board_rules.threshold,
    board_rules.amber_threshold,
    cast(
        row_number() over (
            order by units.area, units.letter, units.production_date, units.shift nulls first
        ) as integer
    ) as unit_ix,
    coalesce(days.ends_at, utc_time(cast(units.production_date + 1 as timestamp))) as ends_at,
    case
        when days.area is not null then days.produced
        when units.production_date between reaches.first_on and reaches.last_on then false
    end as produced
from units
left join board_rules
    on
        units.area = board_rules.area
        and units.letter = board_rules.letter
        and units.rule_from = board_rules.valid_from
left join days
    on
        units.area = days.area
        and units.production_date = days.production_date
        and units.shift is not distinct from days.shift
left join reaches on units.area = reaches.area

/*---
finding = "A declared colour differs from the one that the plant's own rule gave at that time."
says = "Board field {ref}: {colour} was declared on {declared_at}; by the rule of that day ({measure} {comparator} {threshold}) the records known then gave {colour_known} ({value_known}), all records give {colour_final} ({value_final})."
needs = ["board_statuses.colour", "board_statuses.declared_at", "board_rules", "board_measures"]
criteria = []
clauses = ["Q 9.1.1", "Q 9.1.3", "A 9.1.3.1"]
pattern = "depends"
strata = ["area", "letter", "cell"]
key = ["area", "letter", "production_date", "shift"]
since = "0.1"

[uses]
outputs = "Measures of pieces made are not recomputed: no output reports were given."
scrap_entries = "Scrap booked apart from the output reports is not counted: no scrap entries were given."
schedule_lines = "Measures of planned or attained pieces are not recomputed: no schedule was given."
demand_lines = "Measures of delivery are not recomputed: no order lines were given."
shipment_lines = "Measures of delivery are not recomputed: no shipments were given."
concerns = "Measures of concerns are not recomputed: no concerns were given."
actions = "Measures of open concerns are not recomputed: no actions were given."
overtime_entries = "Measures of overtime are not recomputed: no overtime entries were given."
shift_instances = "Days with production are known from output reports only: no shift calendar was given."
---
## What it tests
Whether each colour on a board is the one that the plant's own rule gave, with the records that
were there when it was set. The colour by all records of today stands beside it, as information.

## Why it matters
A board steers by its colours. A difference may simply mean that the leader used another rule, or
knew something that is not on record: then the rule on paper is what needs attention. Declared
green where the rule gave red is the serious cell; red where it gave green is mostly caution.

## Population
Area, letter and production day (and shift where the letter is kept by shift), with the latest
colour that was set; a letter that is missing on a day with production is a unit too. Its ref is
area, letter, day and shift. A field left blank on a day without production is not applicable.

## Not assessable
- The field is blank or missing on a day with production, or nobody can tell whether there was any.
- The time at which the colour was set is missing or occurred twice that night.
- No rule was valid that day, or its measure names nothing that can be computed.
- A quantity of the measure is not on record.

## Traps
- The rule is the one valid on that day; a later threshold proves nothing about an earlier colour.
- Scrap booked after the meeting changes the final value only.
- Boards print whole percents: where rounding would change the result, it is shown as fragile.
- Surplus of one part never makes up for what is short of another.
- A zero-production day has nothing to divide by, and may rightly be blank.

## Ask next
Could you derive last Tuesday's colour with us, from the screen you used that morning? Which time
of day closes the figures, and who hears of it when they change later?

## Source
Monitoring, analysis and evaluation: ISO 9001:2015 9.1.1 and 9.1.3; prioritisation: IATF 16949:2016
9.1.3.1 (memory). Which records count as known: common practice, no source.
*/
with fields as (
    select
        board_units.area,
        board_units.letter,
        board_units.production_date,
        board_units.shift,
        board_units.colour,
        board_units.declared_at,
        board_units.is_on_board,
        board_units.produced,
        board_units.measure,
        board_units.comparator,
        board_units.threshold,
        board_values.value_known,
        board_values.value_final,
        board_values.colour_known,
        board_values.colour_final,
        board_values.colour_rounded,
        board_values.why_not_known,
        coalesce(board_units.colour, 'none') = 'none' as is_blank
    from board_units
    inner join board_values on board_units.unit_ix = board_values.unit_ix
)

select
    area,
    letter,
    production_date,
    shift,
    declared_at,
    colour,
    measure,
    comparator,
    threshold,
    value_known,
    colour_known,
    value_final,
    colour_final,
    case when is_blank and not produced then 'no production that day' end as not_applicable,
    case
        when not is_on_board then 'no status on a day with production'
        when is_blank and produced then 'left blank on a day with production'
        when is_blank then 'state unknown'
        else why_not_known
    end as not_assessable,
    case when not is_blank then colour <> colour_known end as exception,
    not is_blank and (colour <> colour_known) <> (colour <> colour_rounded) as fragile,
    case
        when not is_blank and colour_known is not null
            then 'declared ' || colour || ', recomputed ' || colour_known
    end as cell
from fields

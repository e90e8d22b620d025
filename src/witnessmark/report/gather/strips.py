"""The status strips: what the board declared, what the plant's own rule gives, what followed.

The colour recomputed is the one that could be known when the colour was set; it comes from the
derived table that the record tests read too.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import cast, get_args

from witnessmark.report.figures import BoardAction, Colour, StatusStrip, StripDay
from witnessmark.report.gather.reader import Found, Reader
from witnessmark.report.words import plural, x_of_n

WHAT = "A status strip"
SATURDAY = 5
COLOURS = """
select
    board_units.area,
    board_units.letter,
    board_units.shift,
    board_units.production_date,
    board_units.colour,
    board_values.colour_known,
    board_units.measure,
    board_units.comparator,
    board_units.threshold,
    case
        when board_units.colour <> 'red' or board_units.colour is null then 'unknown'
        when board_units.action_ref is not null then 'linked'
        when board_units.no_action_reason is not null then 'reasoned'
        when raised.area is not null then 'opened'
        else 'none'
    end as action
from board_units
left join board_values on board_units.unit_ix = board_values.unit_ix
left join (
    select distinct concerns.area, concerns.letter, concerns.production_date
    from concerns
    inner join actions on concerns.concern_id = actions.concern_id
) as raised
    on
        board_units.area = raised.area
        and board_units.letter = raised.letter
        and board_units.production_date = raised.production_date
order by
    board_units.area, board_units.letter, board_units.shift nulls first, board_units.production_date
"""
INNOCENT = "Another rule, rounding or records booked later may explain a difference."


def strips_of(reader: Reader) -> tuple[StatusStrip, ...]:
    """One strip per area and letter (and shift); first what differs most, or stays unanswered."""
    if not reader.store.has("board_statuses"):
        return ()
    rows: dict[tuple[str, ...], list[Found]] = defaultdict(list)
    for row in reader.rows(WHAT, COLOURS):
        shift = [str(row["shift"])] if row["shift"] is not None else []
        rows[(str(row["area"]), str(row["letter"]), *shift)].append(row)
    made = [_strip(key, found) for key, found in rows.items()]
    return tuple(sorted(made, key=_telling))


def _telling(strip: StatusStrip) -> tuple[int, int, str, str]:
    bare = sum(one.declared == "red" and one.action == "none" for one in strip.days)
    return (-_differ(strip.days), -bare, strip.area, strip.letter)


def _strip(key: Sequence[str], rows: Sequence[Found]) -> StatusStrip:
    days = tuple(_days(rows))
    letter = ", ".join(key[1:])
    return StatusStrip(key[0], letter, _rule(rows[-1]), days, caption_of(days))


def _days(rows: Sequence[Found]) -> Iterator[StripDay]:
    """Every day from the first to the last, so that a day without a field is seen as such."""
    found = {cast("date", row["production_date"]): row for row in rows}
    day, last = min(found), max(found)
    while day <= last:
        row = found.get(day, {})
        action = str(row.get("action", "unknown"))
        yield StripDay(
            day,
            _colour(row.get("colour")),
            _colour(row.get("colour_known")),
            cast("BoardAction", action),
            day.weekday() >= SATURDAY,
        )
        day += timedelta(days=1)


def _colour(word: object) -> Colour | None:
    return cast("Colour", word) if word in get_args(Colour) else None


def _rule(row: Found) -> str:
    if row["measure"] is None:
        return "no rule in the records"
    threshold = row["threshold"]
    number = f"{threshold:f}".rstrip("0").rstrip(".") if threshold is not None else "?"
    return f"green when {row['measure']} {row['comparator']} {number}"


def _differ(days: Sequence[StripDay]) -> int:
    return sum(one.disagrees for one in days)


def caption_of(days: Sequence[StripDay]) -> str:
    """How often the two rows differ, and how many red days have nothing recorded."""
    both = [
        one
        for one in days
        if one.declared not in (None, "none") and one.recomputed not in (None, "none")
    ]
    said = f"Declared and recomputed differ on {x_of_n(_differ(days), len(both))} days with both."
    if _differ(days):
        said += f" {INNOCENT}"
    red = [one for one in days if one.declared == "red"]
    if red:
        bare = sum(one.action == "none" for one in red)
        said += f" {plural(len(red), 'red day')}, {bare} of them with nothing recorded after."
    return said

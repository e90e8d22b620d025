"""Numbers as plants write them, to canonical text, as SQL; and which decimal mark a column proves.

Decimal comma, thousands marks, a minus behind the number, units and factors, durations as h:mm.
`10,000` may be ten or ten thousand: where the mapping does not say and no other
cell of the column proves it, the rows are shown and the load stops.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from witnessmark.records.sql_text import quote

DECIMAL = "decimal(28, 6)"
PLAIN = r"^[+-]?\d+$"
SECONDS = {"s": 1, "min": 60, "h": 3600, "d": 86400}
GRAMS = {"mg": Decimal("0.001"), "g": Decimal(1), "kg": Decimal(1000), "t": Decimal(1000000)}
METRES = {"um": Decimal("0.000001"), "mm": Decimal("0.001"), "cm": Decimal("0.01"), "m": Decimal(1)}
SHARES = {"share": Decimal(1), "%": Decimal("0.01"), "percent": Decimal("0.01")}
COUNTS = {"pieces": Decimal(1), "thousand": Decimal(1000), "hundred": Decimal(100)}
CLOCKS = ("h:mm", "h:mm:ss", "mm:ss")
READINGS = ((".", ","), (",", "."), (",", " "), (".", "'"), (".", " "))
"""Pairs of decimal mark and thousands mark that are tried on a column."""


@dataclass(frozen=True)
class NumberForm:
    """How numbers are written: the decimal mark and the mark between thousands, if any."""

    decimal: str = "."
    thousands: str | None = None


def number_sql(text: str, form: NumberForm) -> str:
    """SQL for a number as text with a decimal point; null where it is none in this form."""
    mark = re.escape(form.decimal)
    shapes = [rf"\d+({mark}\d*)?", rf"{mark}\d+"]
    bare = text
    if form.thousands is not None:
        group = re.escape(form.thousands)
        shapes.append(rf"[1-9]\d{{0,2}}({group}\d{{3}})+({mark}\d*)?")
        bare = f"replace({bare}, {quote(form.thousands)}, '')"
    shape = rf"^([+-]?({'|'.join(shapes)})|({'|'.join(shapes)})-)$"
    plain = f"replace({bare}, {quote(form.decimal)}, '.')" if form.decimal != "." else bare
    signed = f"case when ends_with({plain}, '-') then '-' || rtrim({plain}, '-') else {plain} end"
    return f"case when regexp_matches({text}, {quote(shape)}) then {signed} end"


def clock_seconds_sql(text: str, unit: str) -> str:
    """SQL for the seconds of a duration written h:mm, h:mm:ss or mm:ss; null where it is none."""
    found = f"regexp_extract({text}, '^(\\d+):([0-5]\\d)(?::([0-5]\\d))?$', ['a', 'b', 'c'])"
    first, second = (60, 1) if unit == "mm:ss" else (3600, 60)
    return (
        f"(select case when found.a = '' then null else cast(found.a as bigint) * {first} "
        f"+ cast(found.b as bigint) * {second} + coalesce(try_cast(found.c as bigint), 0) end "
        f"from (select {found} as found))"
    )


def factor(unit: str, canonical: str) -> tuple[Decimal, Decimal] | None:
    """What a number in a plant's unit is multiplied with and divided by; none if they do not fit.

    Args:
        unit: The plant's.
        canonical: The column's, such as min or s/piece.
    """
    own = canonical.split("/", maxsplit=1)[0]
    if unit in (canonical, own):
        return Decimal(1), Decimal(1)
    for family in (SECONDS, GRAMS, METRES, SHARES, COUNTS):
        if unit in family and own in family:
            return Decimal(family[unit]), Decimal(family[own])
    return None


def scaled_sql(number: str, times: Decimal, by: Decimal) -> str:
    """SQL for a number as text, multiplied and divided, rounded to six decimals."""
    value = f"try_cast({number} as {DECIMAL})"
    if times == by:
        return trimmed_sql(f"cast({value} as varchar)")
    product = f"cast({value} as double) * {times} / {by}"
    return trimmed_sql(f"cast(cast(round({product}, 6) as {DECIMAL}) as varchar)")


def trimmed_sql(text: str) -> str:
    """SQL for a decimal's text without zeros that say nothing: 10.000 is 10."""
    return f"case when contains({text}, '.') then rtrim(rtrim({text}, '0'), '.') else {text} end"


@dataclass(frozen=True)
class MarkProof:
    """What a column's numbers prove about their marks.

    Args:
        form: The form that reads every number one way; none where they leave it open.
        open_rows: Rows and texts that leave it open, or that contradict each other.
        contradictory: Whether no one form reads them all.
    """

    form: NumberForm | None
    open_rows: tuple[tuple[int, str], ...] = ()
    contradictory: bool = False


def prove_marks(shapes: Iterable[tuple[int, str]]) -> MarkProof:
    """Which decimal and thousands marks a column's numbers allow.

    Args:
        shapes: Row and text of one number of each different shape (digits made alike).
    """
    forms = [NumberForm(decimal, thousands) for decimal, thousands in READINGS]
    readings = [
        (
            row,
            text,
            {form: value for form in forms if (value := read_number(text, form)) is not None},
        )
        for row, text in shapes
    ]
    known = [(row, text, found) for row, text, found in readings if found]
    left = [form for form in forms if all(form in found for _, _, found in known)]
    if not left:
        shown = tuple((row, text) for row, text, found in known if len(found) < len(forms))
        return MarkProof(None, shown, contradictory=True)
    differing = tuple(
        (row, text) for row, text, found in known if len({found[form] for form in left}) > 1
    )
    return MarkProof(None, differing) if differing else MarkProof(left[0])


def read_number(text: str, form: NumberForm) -> Decimal | None:
    """A number in a form, or nothing; the same reading as `number_sql`."""
    mark = re.escape(form.decimal)
    shapes = [rf"\d+({mark}\d*)?", rf"{mark}\d+"]
    if form.thousands is not None:
        shapes.append(rf"[1-9]\d{{0,2}}({re.escape(form.thousands)}\d{{3}})+({mark}\d*)?")
    shape = "|".join(shapes)
    if not re.fullmatch(rf"[+-]?({shape})|({shape})-", text):
        return None
    bare = text.replace(form.thousands, "") if form.thousands else text
    bare = bare.replace(form.decimal, ".")
    return Decimal(f"-{bare[:-1]}" if bare.endswith("-") else bare)

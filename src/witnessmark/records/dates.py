"""Dates as plants write them, to canonical text, as SQL; and which date order a column proves.

A format is written with YYYY, YY, MM, Mon, DD, HH, MM (after HH: minutes), SS and AM. A time of
day behind a date needs no format of its own. 24:00 is the beginning of the next day. Where no
format is stated, a column must prove its order: the rows that leave it open are shown.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from witnessmark.records.sql_text import quote

SERIAL = "serial"
TOKENS = re.compile(r"YYYY|YY|Mon|MM|DD|HH|SS|AM")
TIME_OF_DAY = (
    r"(?:(?: *T| +)(\d{1,2})[:.](\d{2})(?:[:.](\d{2})(?:[.,]\d+)?)?(?: ?([AaPp]\.?[Mm]\.?))?)?"
)
CANDIDATES = (
    "DD.MM.YYYY",
    "MM/DD/YYYY",
    "YYYY-MM-DD",
    "DD.MM.YY",
    "MM/DD/YY",
    "YY-MM-DD",
)
"""Orders that a column may prove; the marks between the parts do not matter."""
ISO = r"^\d{4}-\d{2}-\d{2}([ T]\d{2}(:\d{2}(:\d{2}(\.\d+)?)?)?( ?(Z|[+-]\d{2}:?\d{2}))?)?$"
MONTHS = {
    1: ("jan",),
    2: ("feb",),
    3: ("mar", "mär", "mrz"),
    4: ("apr",),
    5: ("may", "mai"),
    6: ("jun",),
    7: ("jul",),
    8: ("aug",),
    9: ("sep",),
    10: ("oct", "okt"),
    11: ("nov",),
    12: ("dec", "dez"),
}
CENTURY_TURN = 70
"""Two-digit years from here on are 19xx (the convention of POSIX and of this tool)."""


@dataclass(frozen=True)
class DateForm:
    """A format taken apart: its regular expression and what each group is."""

    pattern: str
    parts: tuple[str, ...]


def date_form(written: str) -> DateForm:
    """Takes a format such as "DD.MM.YYYY HH:MM" apart.

    Raises:
        ValueError: It lacks day, month or year, or names a part twice.
    """
    pattern, parts, end = "", [], 0
    tokens = list(TOKENS.finditer(written))
    compact = not re.search(r"[^A-Za-z0-9 ]", written) and "Mon" not in written
    for token in tokens:
        pattern += _between(written[end : token.start()])
        name = token.group()
        if name == "MM" and "hour" in parts and "minute" not in parts:
            name = "minute"
        part, shape = _part(name, compact)
        pattern, end = pattern + shape, token.end()
        parts.append(part)
    pattern += _between(written[end:])
    if {"year", "month", "day"} - set(parts) or len(set(parts)) < len(parts):
        raise ValueError(written)
    if "hour" not in parts:
        pattern += TIME_OF_DAY
        parts += ["hour", "minute", "second", "half"]
    return DateForm(f"^{pattern}$", tuple(parts))


def _between(text: str) -> str:
    return "".join(
        " +" if mark == " " else "[./-]" if mark in "./-" else re.escape(mark) for mark in text
    )


def _part(name: str, compact: bool) -> tuple[str, str]:
    digits = r"(\d{2})" if compact else r"(\d{1,2})"
    return {
        "YYYY": ("year", r"(\d{4})"),
        "YY": ("year", r"(\d{2})"),
        "Mon": ("month", r"([A-Za-zäÄ]{3})[a-zA-Z]*\.?"),
        "MM": ("month", digits),
        "DD": ("day", digits),
        "HH": ("hour", digits),
        "minute": ("minute", r"(\d{2})"),
        "SS": ("second", r"(\d{2})"),
        "AM": ("half", r"([AaPp]\.?[Mm]\.?)"),
    }[name]


def date_sql(text: str, written: str) -> str:
    """SQL for canonical text of a date or time written in a format; null where it is none.

    Args:
        text: SQL of the written text; its own ISO form is always read (cells of a workbook).
        written: The format.
    """
    form = date_form(written)
    names = ", ".join(f"'{part}'" for part in form.parts)
    found = f"regexp_extract({text}, {quote(form.pattern)}, [{names}])"
    hour = "found.hour" if "hour" in form.parts else "''"
    minute = "found.minute" if "minute" in form.parts else "'00'"
    second = "found.second" if "second" in form.parts else "''"
    half = "lower(found.half)" if "half" in form.parts else "''"
    day = (
        f"try_cast({_year_sql()} || '-' || {_month_sql(written)} || '-' || "
        "lpad(found.day, 2, '0') as date)"
    )
    clock = (
        f"lpad({_hour_sql(hour, half)}, 2, '0') || ':' || {minute}"
        f" || case when {second} = '' then '' else ':' || {second} end"
    )
    is_midnight = f"{hour} = '24' and {minute} = '00' and {second} in ('', '00') and {half} = ''"
    is_iso = f"regexp_matches({text}, {quote(ISO)})"
    return (
        f"(case when {text} is null then null when {is_iso} then {text} "
        f"else (select case when found.day = '' then null "
        f"when {is_midnight} then strftime({day} + 1, '%Y-%m-%d') || ' 00:00' "
        f"when {day} is null then null "
        f"when {hour} = '' then strftime({day}, '%Y-%m-%d') "
        f"when try_cast({clock} as time) is null then null "
        f"else strftime({day}, '%Y-%m-%d ') || {clock} end "
        f"from (select {found} as found)) end)"
    )


def _year_sql() -> str:
    return (
        "case when length(found.year) = 4 then found.year "
        f"when cast(found.year as integer) >= {CENTURY_TURN} then '19' || found.year "
        "else '20' || found.year end"
    )


def _month_sql(written: str) -> str:
    if "Mon" not in written:
        return "lpad(found.month, 2, '0')"
    branches = " ".join(
        f"when {quote(name)} then '{number:02d}'"
        for number, names in MONTHS.items()
        for name in names
    )
    return f"case lower(found.month) {branches} end"


def _hour_sql(hour: str, half: str) -> str:
    if half == "''":
        return hour
    twelve = f"try_cast({hour} as integer)"
    return (
        f"case when {half} = '' then {hour} when {twelve} > 12 or {twelve} < 1 then '99' "
        f"else cast({twelve} % 12 + case when {half}[1:1] = 'p' then 12 else 0 end as varchar) end"
    )


def serial_sql(number: str, epoch: int) -> str:
    """SQL for canonical text of a serial date (days since the epoch, time as a fraction).

    Day 60 of the 1900 epoch is a 29 February that never was: it gives null, and the days before it
    are counted from a day later.

    Args:
        number: SQL of the number as text with a decimal point.
        epoch: 1900 or 1904.
    """
    value = f"try_cast({number} as decimal(18, 9))"
    days = f"cast(floor({value}) as integer)"
    seconds = f"cast(round(({value} - floor({value})) * 86400) as bigint)"
    start = "date '1904-01-01'"
    if epoch == 1900:  # noqa: PLR2004  # the year itself
        start = f"case when {days} < 60 then date '1899-12-31' else date '1899-12-30' end"
    moment = f"cast({start} + {days} as timestamp) + to_seconds({seconds})"
    never = f"or {days} = 60" if epoch == 1900 else ""  # noqa: PLR2004 - the day that only one epoch has
    return (
        f"case when {value} is null or {value} < 1 or {value} > 200000 {never} then null "
        f"when {seconds} = 0 then strftime({moment}, '%Y-%m-%d') "
        f"when {seconds} % 60 = 0 then strftime({moment}, '%Y-%m-%d %H:%M') "
        f"else strftime({moment}, '%Y-%m-%d %H:%M:%S') end"
    )


@dataclass(frozen=True)
class Proof:
    """What a column's dates prove about their order.

    Args:
        forms: Formats that every readable date fits, unless two of them mean different days.
        witnesses: Per excluded format the row and text that excludes it.
        open_rows: Rows and texts that two formats read differently.
    """

    forms: tuple[str, ...]
    witnesses: dict[str, tuple[int, str]]
    open_rows: tuple[tuple[int, str], ...]


def prove_order(tokens: Iterable[tuple[int, str]]) -> Proof:
    """Which formats a column's dates allow.

    Args:
        tokens: Row and date part of each different date, such as (7, "03.04.2026").
    """
    listed = [(row, text) for row, text in tokens if any(_day(text, form) for form in CANDIDATES)]
    witnesses: dict[str, tuple[int, str]] = {}
    for form in CANDIDATES:
        for row, text in listed:
            if _day(text, form) is None:
                witnesses[form] = (row, text)
                break
    forms = tuple(form for form in CANDIDATES if form not in witnesses) if listed else ()
    differing = tuple(
        (row, text) for row, text in listed if len({_day(text, form) for form in forms}) > 1
    )
    if not differing:
        forms = forms[:1]
    return Proof(forms, witnesses, differing)


def _readers() -> dict[str, Callable[[str], date | None]]:
    readers: dict[str, Callable[[str], date | None]] = {}
    for written in CANDIDATES:
        form = date_form(written)
        # A short year in front is written with dashes or strokes, never with dots.
        marks = "[/-]" if written.startswith("YY-") else "[./-]"
        compiled = re.compile(form.pattern.replace("[./-]", marks))

        def read(
            text: str, compiled: re.Pattern[str] = compiled, parts: tuple[str, ...] = form.parts
        ) -> date | None:
            found = compiled.match(text)
            if found is None:
                return None
            value = dict(zip(parts, found.groups(), strict=True))
            year = int(value["year"])
            if len(value["year"]) == 2:  # noqa: PLR2004 - a year of two digits
                year += 1900 if year >= CENTURY_TURN else 2000
            try:
                return date(year, int(value["month"]), int(value["day"]))
            except ValueError:
                return None

        readers[written] = read
    return readers


_READERS = _readers()


def _day(text: str, form: str) -> date | None:
    return _READERS[form](text)

"""mapping.toml, read and checked: everything that is wrong with it, at once, before any file.

What only the files can show (headings that are not there, date orders) is checked when they are
read. This module reads no export.
"""

import re
from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from difflib import get_close_matches
from pathlib import Path

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.dates import SERIAL, date_form
from witnessmark.records.mapping import UNPIVOTED, ColumnSpec, Condition, Feed, Mapping, Source
from witnessmark.records.numbers import CLOCKS, SECONDS, factor
from witnessmark.records.persons import PERSONAL
from witnessmark.records.plant import Plant
from witnessmark.records.spans import SPANS
from witnessmark.records.table import Column, Table
from witnessmark.records.tables import TABLES
from witnessmark.records.toml_file import fill, read_toml

LOOKS_ROUND = re.compile(r"\(\?(?:[=!(>]|<[=!])|\\[1-9]|[*+?}]\+")
TWO_TIMES = ("done_at", "entered_at")


def load_mapping(path: Path, plant: Plant) -> Mapping:
    """The mapping in a file.

    Args:
        path: The file.
        plant: The plant's settings; they say how far persons may be recorded.

    Raises:
        UnusableInputError: Everything that is wrong with it, at once.
    """
    where = Where(path.name)
    mapping = fill(read_toml(path), Mapping, where)
    said = [
        text
        for number, source in enumerate(mapping.source, 1)
        for text in _source_faults(f"source {number}", source, plant)
    ]
    if not mapping.source:
        said.append(("there is no [[source]].", "Name at least one file."))
    if said:
        raise UnusableInputError([Fault(where, what, mend=mend) for what, mend in said])
    return mapping


Said = Iterator[tuple[str, str]]


def _source_faults(place: str, source: Source, plant: Plant) -> Said:
    if not source.feed:
        yield f"{place}: it feeds no table.", "Add a [[source.feed]]."
    if source.dates is not None:
        yield from _format_faults(f"{place}: dates", source.dates, source.epoch)
    for rule in source.skip_rows_where:
        yield from _pattern_faults(f"{place}: skip_rows_where", rule.matches)
    if source.delimiter is not None and len(source.delimiter) != 1:
        yield f"{place}: the delimiter is one character.", r'Write a tab as "\t".'
    if source.decimal is not None and source.decimal == source.thousands:
        yield f"{place}: decimal and thousands are the same mark.", ""
    kinds = {rule.kind for rule in source.skip_rows_where}
    for control in source.control:
        yield from _control_faults(f"{place}: control", control.stated, control.totals_row, kinds)
        try:
            Decimal(control.tolerance)
        except InvalidOperation:
            yield f"{place}: control: {control.tolerance!r} is no number.", ""
    for number, feed in enumerate(source.feed, 1):
        yield from _feed_faults(f"{place}: feed {number}", source, feed, plant)


def _control_faults(place: str, stated: str | None, kind: str | None, kinds: set[str]) -> Said:
    if (stated is None) == (kind is None):
        yield f"{place}: it takes either stated or totals_row.", ""
    elif kind is not None and kind not in kinds:
        yield f'{place}: no skip_rows_where has the kind "{kind}".', ""


def _feed_faults(place: str, source: Source, feed: Feed, plant: Plant) -> Said:
    table = TABLES.get(feed.table)
    if table is None or table.name == "extracts":
        near = get_close_matches(feed.table, TABLES, n=1)
        yield f'{place}: there is no table "{feed.table}" to feed.', _did_you_mean(near)
        return
    yield from _column_faults(place, feed, table)
    for asked in feed.only_where.values():
        if isinstance(asked, Condition) and asked.matches is not None:
            yield from _pattern_faults(f"{place}: only_where", asked.matches)
    yield from _unpivot_faults(place, feed)
    yield from _time_faults(place, feed, table)
    if feed.overlap == "keep" and not feed.overlap_reason:
        yield f'{place}: overlap = "keep" needs an overlap_reason.', ""
    if feed.overlap == "keep" and feed.table not in SPANS:
        yield f"{place}: overlap is only asked of {' and '.join(sorted(SPANS))}.", ""
    known = {column.name: column for column in table.columns}
    for name, spec in feed.specs.items():
        if name not in known:
            continue
        yield from _spec_faults(f"{place}: {name}", known[name], spec, source)
        yield from _person_faults(f"{place}: {name}", table, name, spec, plant)


def _column_faults(place: str, feed: Feed, table: Table) -> Said:
    """Columns that the table does not know, and columns that it needs."""
    known = [column.name for column in table.columns]
    for name in feed.columns:
        if name not in known:
            mend = _did_you_mean(get_close_matches(name, known, n=1))
            yield (
                f'{place}: {table.name} has no column "{name}".',
                (mend or f"Known: {', '.join(known)}."),
            )
    for column in table.columns:
        if not column.optional and column.name not in feed.columns:
            yield (
                f"{place}: {table.name} needs the column {column.name}.",
                "Say where it comes from, or give a constant.",
            )


def _did_you_mean(near: list[str]) -> str:
    return f"Did you mean {near[0]}?" if near else ""


def _unpivot_faults(place: str, feed: Feed) -> Said:
    if feed.unpivot is None:
        used = {heading for spec in feed.specs.values() for heading in spec.headings}
        if used & set(UNPIVOTED):
            yield f"{place}: {', '.join(sorted(used & set(UNPIVOTED)))} needs an unpivot.", ""
        return
    if bool(feed.unpivot.columns) == (feed.unpivot.columns_match is not None):
        yield f"{place}: unpivot takes either columns or columns_match.", ""
    for pattern in (feed.unpivot.columns_match, feed.unpivot.split):
        if pattern is not None:
            yield from _pattern_faults(f"{place}: unpivot", pattern)


def _time_faults(place: str, feed: Feed, table: Table) -> Said:
    """An export with one time only must say which of the two it is."""
    names = {column.name for column in table.columns}
    given = [name for name in TWO_TIMES if name in feed.columns]
    if not names.issuperset(TWO_TIMES) or len(given) != 1:
        return
    if feed.time_is is None:
        yield (
            f"{place}: the export has one time only, mapped to {given[0]}.",
            (
                'Say time_is = "done" (it happened then) or time_is = "entered" (it was typed '
                "then; also where nobody knows)."
            ),
        )
    elif given[0] != f"{feed.time_is}_at":
        yield (
            f'{place}: time_is = "{feed.time_is}", and {given[0]} is mapped.',
            (f"Map the time to {feed.time_is}_at."),
        )


def _spec_faults(place: str, column: Column, spec: ColumnSpec, source: Source) -> Said:
    origins = [spec.from_ is not None, spec.constant is not None, spec.number_within is not None]
    if sum(origins) != 1:
        yield f"{place}: it takes one of from, constant and number_within.", ""
    if spec.from_ is not None and not all(spec.headings or ("",)):
        yield f"{place}: from names no heading.", ""
    if spec.pattern is not None:
        yield from _pattern_faults(f"{place}: pattern", spec.pattern)
    if spec.format is not None:
        yield from _format_faults(f"{place}: format", spec.format, spec.epoch or source.epoch)
    if spec.decimal is not None and spec.decimal == (spec.thousands or source.thousands):
        yield f"{place}: decimal and thousands are the same mark.", ""
    yield from _kind_faults(place, column, spec)
    yield from _word_faults(place, column, spec)


def _kind_faults(place: str, column: Column, spec: ColumnSpec) -> Said:
    """Settings that do not belong to a column of this type."""
    asked = {
        "format": (spec.format, ("date", "instant")),
        "epoch": (spec.epoch, ("date", "instant")),
        "tolerance": (spec.tolerance, ("decimal",)),
        "unit": (spec.unit, ("int", "decimal")),
        "times": (spec.times, ("int", "decimal")),
        "split": (spec.split, ("list",)),
        "pad_zeros": (spec.pad_zeros, ("text",)),
    }
    for name, (value, kinds) in asked.items():
        if value is not None and column.type not in kinds:
            yield (
                f"{place}: {name} belongs to {' and '.join(kinds)}, and this is {column.type}.",
                "",
            )
    if spec.unit is not None and column.type in ("int", "decimal"):
        yield from _unit_faults(place, column, spec.unit)


def _word_faults(place: str, column: Column, spec: ColumnSpec) -> Said:
    """Canonical words that the column does not have."""
    if not column.words:
        return
    used = [*(spec.values or {}).values(), *([spec.constant] if spec.constant else [])]
    for word in dict.fromkeys(used):
        if word and word not in column.words:
            mend = f"Words are: {', '.join(column.words)}."
            yield f'{place}: "{word}" is no word of this column.', mend


def _unit_faults(place: str, column: Column, unit: str) -> Said:
    fits = (
        column.unit.split("/")[0] in SECONDS
        if unit in CLOCKS
        else factor(unit, column.unit) is not None
    )
    if not fits:
        shown = column.unit or "no unit"
        yield f'{place}: "{unit}" cannot be turned into {shown}.', "Or give the factor with times."


def _person_faults(place: str, table: Table, name: str, spec: ColumnSpec, plant: Plant) -> Said:
    ways = [spec.pseudonym, spec.place_of is not None, spec.is_role]
    if name not in PERSONAL.get(table.name, frozenset()):
        if spec.pseudonym or spec.place_of is not None:
            yield f"{place}: this column holds no person.", ""
        return
    if spec.constant is not None:
        return
    if sum(ways) != 1:
        yield (
            f"{place}: it may name a person.",
            (
                'Say one of pseudonym = true, place_of = "<heading of the machine>", '
                "is_role = true, or leave the column out."
            ),
        )
    elif spec.pseudonym and plant.person_basis == "places":
        yield (
            f"{place}: a pseudonym needs a recorded basis, and plant.toml grants places only.",
            (
                'Use place_of = "<heading of the machine>", leave the column out, or have the '
                'plant record its basis and set person_basis = "allocations".'
            ),
        )


def _pattern_faults(place: str, pattern: str) -> Said:
    """A pattern is used by two engines; one of them knows no look-around and no back-reference."""
    try:
        re.compile(pattern)
        usable = LOOKS_ROUND.search(pattern) is None
    except re.error:
        usable = False
    if not usable:
        yield (
            f"{place}: {pattern!r} is no regular expression that can be used.",
            ("Look-ahead and back-references are not available."),
        )


def _format_faults(place: str, written: str, epoch: int | None) -> Said:
    if written == SERIAL:
        if epoch is None:
            yield f"{place}: serial dates need an epoch.", "Say epoch = 1900 or epoch = 1904."
        return
    try:
        date_form(written)
    except ValueError:
        yield (
            f'{place}: "{written}" is no date format.',
            ("It is made of YYYY or YY, MM or Mon, DD, and HH, MM, SS, AM."),
        )

"""One canonical column out of a plant's cells, as SQL: its value as canonical text, or why not.

Every column goes through the same steps, each a face of its own in nested queries: `r:x` what was
written (for people to see), `t:x` joined and with empty words left out, `p:x` after the pattern,
`v:x` after the value map, then `x` the canonical text and `f:x` the reason why there is none.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from witnessmark.records.dates import SERIAL, date_sql, serial_sql
from witnessmark.records.mapping import ColumnSpec
from witnessmark.records.numbers import (
    CLOCKS,
    SECONDS,
    NumberForm,
    clock_seconds_sql,
    factor,
    number_sql,
    scaled_sql,
    trimmed_sql,
)
from witnessmark.records.sql_text import name_sql, quote
from witnessmark.records.table import Column
from witnessmark.records.tolerance import is_tolerance_sql, tolerance_sql
from witnessmark.records.typed_columns import (
    BROKEN_FORMULA,
    FORMULA_ERROR,
    LOST_DIGITS,
    NO_ID,
    is_id,
)

ONE = Decimal(1)


@dataclass(frozen=True)
class Reading:
    """How one column is read once nothing is open any more.

    Args:
        column: Its declaration.
        spec: What the mapping says.
        number: How its numbers are written.
        date: How its dates are written.
        epoch: First year of serial dates.
    """

    column: Column
    spec: ColumnSpec
    number: NumberForm | None = None
    date: str | None = None
    epoch: int | None = None


def face(letter: str, name: str) -> str:
    """The identifier of a face of a column."""
    return name_sql(f"{letter}:{name}")


def cell_sql(heading: str, literals: Mapping[str, str]) -> str:
    """A cell, trimmed, empty as null; a pseudo-heading is the text it stands for."""
    if heading == "<row>":
        return 'cast("#row" as varchar)'
    if heading in literals:
        return quote(literals[heading])
    return f"nullif(trim({name_sql(heading)}), '')"


def written_sql(name: str, spec: ColumnSpec, literals: Mapping[str, str], order: str) -> str:
    """The faces `r:x` and `t:x` from raw cells.

    Args:
        name: The canonical column.
        spec: What the mapping says of it.
        literals: What pseudo-headings stand for.
        order: The rows' order, total, for running numbers.
    """
    if spec.constant is not None:
        text = quote(spec.constant)
        return f"{text} as {face('r', name)}, {text} as {face('t', name)}"
    if spec.number_within is not None:
        groups = ", ".join(cell_sql(heading, literals) for heading in spec.number_within)
        number = f"cast(row_number() over (partition by {groups} order by {order}) as varchar)"
        return f"{number} as {face('r', name)}, {number} as {face('t', name)}"
    cells = [cell_sql(heading, literals) for heading in spec.headings]
    shown = f"concat_ws(' ', {', '.join(cells)})"
    kept = [_without_empty(cell, spec) for cell in cells]
    # A value needs its first cell: a time without its date is nothing.
    joined = kept[0]
    if len(kept) > 1:
        several = f"concat_ws({quote(spec.join)}, {', '.join(kept)})"
        joined = f"case when {kept[0]} is not null then {several} end"
    if spec.blank_is is not None:
        joined = f"coalesce({joined}, {quote(spec.blank_is)})"
    return f"nullif({shown}, '') as {face('r', name)}, {joined} as {face('t', name)}"


def _without_empty(cell: str, spec: ColumnSpec) -> str:
    if not spec.empty:
        return cell
    words = ", ".join(quote(word) for word in spec.empty)
    return f"case when {cell} not in ({words}) then {cell} end"


def pattern_sql(name: str, spec: ColumnSpec) -> str:
    """The face `p:x`; a text that does not match is told by a null beside a filled `t:x`."""
    text = face("t", name)
    if spec.pattern is None:
        return f"{text} as {face('p', name)}"
    group = 1 if re.compile(spec.pattern).groups else 0
    found = f"nullif(regexp_extract({text}, {quote(spec.pattern)}, {group}), '')"
    if spec.no_match == "keep":
        found = (
            f"case when regexp_matches({text}, {quote(spec.pattern)}) then {found} else {text} end"
        )
    return f"{found} as {face('p', name)}"


def values_sql(column: Column, spec: ColumnSpec) -> str:
    """The face `v:x`; an unknown word is told by a null beside a filled `p:x`."""
    text = face("p", column.name)
    if column.type == "list":
        text = _list_sql(text, column, spec)
    elif spec.values is not None:
        text = _word_sql(text, column, spec)
    if spec.pad_zeros is not None:
        padded = f"lpad({text}, {spec.pad_zeros}, '0')"
        text = f"case when length({text}) < {spec.pad_zeros} then {padded} else {text} end"
    if spec.prefix or spec.suffix:
        text = f"{quote(spec.prefix)} || {text} || {quote(spec.suffix)}"
    return f"{text} as {face('v', column.name)}"


def _list_sql(text: str, column: Column, spec: ColumnSpec) -> str:
    item = _word_sql("word", column, spec) if spec.values is not None else "word"
    cut = f"string_split({text}, {quote(spec.split or ';')})"
    items = f"list_transform({cut}, lambda item: nullif(trim(item), ''))"
    mapped = f"list_transform({items}, lambda word: {item})"
    known = f"list_filter({mapped}, lambda word: word is not null and word <> '')"
    return f"array_to_string({known}, ';')"


def _word_sql(text: str, column: Column, spec: ColumnSpec) -> str:
    branches = " ".join(
        f"when {quote(word)} then {quote(value) if value else 'null'}"
        for word, value in (spec.values or {}).items()
    )
    own = "".join(f" when {quote(word)} then {quote(word)}" for word in column.words)
    rest = text if spec.other == "keep" else "null"
    return f"case {text} {branches}{own} else {rest} end"


def value_sql(reading: Reading) -> str:
    """The canonical text of a column as an expression over `v:x`."""
    column, spec = reading.column, reading.spec
    text = face("v", column.name)
    if spec.tolerance is not None:
        return tolerance_sql(_points(text, reading), spec.tolerance)
    match column.type:
        case "int" | "decimal":
            return _number_sql(text, reading)
        case "date" | "instant":
            return _moment_sql(text, reading)
        case _:
            return text


def _points(text: str, reading: Reading) -> str:
    form = reading.number or NumberForm()
    bare = f"replace({text}, {quote(form.thousands)}, '')" if form.thousands else text
    return f"replace({bare}, {quote(form.decimal)}, '.')" if form.decimal != "." else bare


def _number_sql(text: str, reading: Reading) -> str:
    spec, unit = reading.spec, reading.column.unit.split("/")[0]
    if spec.unit in CLOCKS:
        seconds = f"cast({clock_seconds_sql(text, spec.unit or '')} as double)"
        return trimmed_sql(
            f"cast(cast(round({seconds} / {SECONDS[unit]}, 6) as decimal(18, 6)) as varchar)"
        )
    number = number_sql(text, reading.number or NumberForm())
    times, by = (factor(spec.unit, reading.column.unit) if spec.unit else None) or (ONE, ONE)
    return scaled_sql(number, times * Decimal(str(spec.times or 1)), by)


def _moment_sql(text: str, reading: Reading) -> str:
    if reading.date == SERIAL:
        number = number_sql(text, reading.number or NumberForm())
        moment = (
            f"case when regexp_matches({text}, '^\\d{{4}}-') then {text} "
            f"else {serial_sql(number, reading.epoch or 1900)} end"
        )
    else:
        moment = date_sql(text, reading.date or "YYYY-MM-DD")
    return f"({moment})[1:10]" if reading.column.type == "date" else moment


def fault_sql(reading: Reading) -> str:
    """The face `f:x`: why a filled cell gives no value, or null."""
    column, spec = reading.column, reading.spec
    name = column.name
    shown, text, matched, mapped = (face(letter, name) for letter in "rtpv")
    tests = [(f"regexp_matches({shown}, {quote(FORMULA_ERROR)})", BROKEN_FORMULA)]
    if spec.pattern is not None and spec.no_match == "refuse":
        tests.append(
            (f"{text} is not null and {matched} is null", f"does not match {spec.pattern}")
        )
    if spec.values is not None and spec.other == "refuse":
        tests.append((_unknown_word_sql(column, spec, matched), "a word the mapping does not name"))
    if is_id(column) and spec.pattern is None:
        tests.append((f"regexp_matches({text}, '{LOST_DIGITS}')", NO_ID))
    kind = _unread(reading)
    if kind and spec.unreadable == "refuse":
        readable = is_tolerance_sql(_points(mapped, reading)) if spec.tolerance else None
        missing = f"not ({readable})" if readable else f"{name_sql(name)} is null"
        tests.append((f"{mapped} is not null and {missing}", kind))
    cases = " ".join(f"when {test} then {quote(reason)}" for test, reason in tests)
    return f"case {cases} end"


def _unknown_word_sql(column: Column, spec: ColumnSpec, text: str) -> str:
    words = ", ".join(quote(word) for word in (*(spec.values or {}), *column.words))
    if column.type != "list":
        return f"{text} not in ({words})"
    items = (
        f"list_transform(string_split({text}, {quote(spec.split or ';')}), lambda item: trim(item))"
    )
    return f"not list_has_all([{words}, ''], {items})"


def _unread(reading: Reading) -> str:
    spec, kind = reading.spec, reading.column.type
    if spec.tolerance is not None:
        return "no tolerance such as 12.70 ±0.05"
    if kind in ("int", "decimal"):
        form = reading.number or NumberForm()
        return (
            f"not a duration written {spec.unit}"
            if spec.unit in CLOCKS
            else f'not a number with the decimal mark "{form.decimal}"'
        )
    if kind in ("date", "instant"):
        return f"no date written {reading.date}, or a day or time that does not exist"
    return ""

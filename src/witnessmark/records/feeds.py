"""A mapping at work: every file it names becomes an extract, every feed a query over raw rows.

The query gives canonical text and, beside it, what could not be read and why. What the mapping
leaves open is settled by the columns themselves (decide.py) or stops the load.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import duckdb

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.cells import (
    Reading,
    cell_sql,
    face,
    fault_sql,
    pattern_sql,
    value_sql,
    values_sql,
    written_sql,
)
from witnessmark.records.decide import decide
from witnessmark.records.extract import EVERY_ROW, Extract, Part
from witnessmark.records.mapping import PSEUDO, UNPIVOTED, ColumnSpec, Condition, Feed, Source
from witnessmark.records.persons import pseudonyms
from witnessmark.records.raw import FAULT, RawTable
from witnessmark.records.sql_text import name_sql, quote
from witnessmark.records.tables import TABLES
from witnessmark.records.typing import FAULTLESS
from witnessmark.records.unpivot import unpivot_faults, unpivot_sql, wide_columns

HIDDEN = "'(personal)'"
KeySource = Callable[[], bytes]


def parts_of(
    con: duckdb.DuckDBPyConnection,
    raw: RawTable,
    source: Source,
    extract: Extract,
    key: KeySource,
) -> tuple[Part, ...]:
    """The parts that the raw rows of a mapped file feed.

    Args:
        con: Connection that holds the raw rows.
        raw: The raw rows.
        source: What the mapping says of the file.
        extract: The file.
        key: Gives the pseudonym key, asked only where persons enter.

    Raises:
        UnusableInputError: Headings that the file lacks, and cells that nobody can read one way.
    """
    where = Where(extract.name, extract.sheet)
    faults = [fault for feed in source.feed for fault in _heading_faults(feed, raw, where)]
    if faults:
        raise UnusableInputError([*faults, _headings_fault(raw, where)])
    parts = []
    for number, feed in enumerate(source.feed):
        part, wrong = _part(con, raw, source, feed, extract, key, f"{raw.relation}_{number}")
        parts.append(part)
        faults += wrong
    if faults:
        raise UnusableInputError(faults)
    return tuple(parts)


def _heading_faults(feed: Feed, raw: RawTable, where: Where) -> list[Fault]:
    known = {*raw.headings, *PSEUDO}
    missing = [name for name in feed.only_where if name not in known]
    known |= set(UNPIVOTED if feed.unpivot else ())
    for spec in feed.specs.values():
        used = [*spec.headings, *(spec.number_within or ()), spec.place_of or "<row>"]
        missing += [name for name in used if name not in known]
    faults = [
        Fault(replace(where, column=name), f"{feed.table}: the file has no such column.")
        for name in dict.fromkeys(missing)
    ]
    if feed.unpivot is not None:
        faults += unpivot_faults(feed.unpivot, raw.headings, where)
    return faults


def _headings_fault(raw: RawTable, where: Where) -> Fault:
    return Fault(
        where,
        "the header that was read is: " + "; ".join(raw.headings) + ".",
        mend="Correct the headings, header_row or delimiter in mapping.toml.",
    )


def _part(
    con: duckdb.DuckDBPyConnection,
    raw: RawTable,
    source: Source,
    feed: Feed,
    extract: Extract,
    key: KeySource,
    scratch: str,
) -> tuple[Part, list[Fault]]:
    table, specs = TABLES[feed.table], feed.specs
    literals = {
        "<file>": extract.name,
        "<sheet>": extract.sheet or "",
        "<preamble>": raw.preamble,
    }
    claims = _claims_sql(feed, literals)
    texts = _texts_sql(raw, feed, claims, literals)
    where = Where(extract.name, extract.sheet)
    columns = [column for column in table.columns if column.name in specs]
    decisions = [
        decide(con, texts, Reading(column, specs[column.name]), source, where) for column in columns
    ]
    faults = [fault for decision in decisions for fault in decision.faults]
    notes = tuple(note for decision in decisions for note in decision.notes)
    readings = [decision.reading for decision in decisions]
    if not faults:
        texts = _with_pseudonyms(con, texts, specs, key, scratch)
        notes += _left_empty_notes(con, texts, readings)
    part = Part(
        table=table,
        columns=tuple(column.name for column in columns),
        select=_select(texts, readings, extract.extract_id),
        headings={name: _shown_headings(spec, feed, raw) for name, spec in specs.items()},
        personal=frozenset(name for name, spec in specs.items() if spec.pseudonym or spec.place_of),
        claims=claims,
        may_make_nothing=feed.unpivot is not None,
        keep_overlaps=feed.overlap == "keep",
        notes=notes + _overlap_note(feed),
    )
    return part, faults


def _left_empty_notes(
    con: duckdb.DuckDBPyConnection, texts: str, readings: Sequence[Reading]
) -> tuple[str, ...]:
    """How many written cells a mapping leaves empty on purpose: said, because they are not read."""
    lenient = [r for r in readings if "empty" in (r.spec.unreadable, r.spec.other, r.spec.no_match)]
    if not lenient:
        return ()
    counts = ", ".join(
        f"count(*) filter (where {face('r', r.column.name)} is not null "
        f"and {name_sql(r.column.name)} is null)"
        for r in lenient
    )
    values = ", ".join(f"{value_sql(r)} as {name_sql(r.column.name)}" for r in lenient)
    row = con.execute(f"select {counts} from (select *, {values} from ({texts}))").fetchone() or ()
    return tuple(
        f"{r.column.name}: {count} written cells are left empty, as the mapping says"
        for r, count in zip(lenient, row, strict=True)
        if count
    )


def _overlap_note(feed: Feed) -> tuple[str, ...]:
    if feed.overlap == "refuse":
        return ()
    return (f"{feed.table}: overlapping rows of one machine are kept: {feed.overlap_reason}",)


def _shown_headings(spec: ColumnSpec, feed: Feed, raw: RawTable) -> tuple[str, ...]:
    """The real headings behind a column; an unpivoted one stands for all that were turned."""
    shown = [name for name in spec.headings if name in raw.headings]
    if feed.unpivot is not None and set(spec.headings) & set(UNPIVOTED):
        shown += wide_columns(feed.unpivot, raw.headings)
    return tuple(shown)


def _claims_sql(feed: Feed, literals: Mapping[str, str]) -> str:
    """Condition of the raw rows that a feed takes."""
    tests = []
    for heading, asked in feed.only_where.items():
        cell = f"coalesce({cell_sql(heading, literals)}, '')"
        if isinstance(asked, Condition):
            if asked.matches is not None:
                tests.append(f"regexp_matches({cell}, {quote(asked.matches)})")
            if asked.is_not:
                tests.append(f"{cell} not in ({', '.join(quote(word) for word in asked.is_not)})")
        else:
            words = [asked] if isinstance(asked, str) else asked
            tests.append(f"{cell} in ({', '.join(quote(word) for word in words)})")
    return " and ".join(f"({test})" for test in tests) or EVERY_ROW


def _texts_sql(raw: RawTable, feed: Feed, claims: str, literals: Mapping[str, str]) -> str:
    """Faces r, t, p and v of every column, and the place of each person."""
    specs, table = feed.specs, TABLES[feed.table]
    rows = f"select * from {raw.relation} where {name_sql(FAULT)} is null and {claims}"
    order = '"#row"'
    if feed.unpivot is not None:
        rows = unpivot_sql(f"({rows})", feed.unpivot, raw.headings)
        order += ', "<heading>", try_cast("<entry>" as integer)'
    written = [written_sql(name, spec, literals, order) for name, spec in specs.items()]
    written += [
        f"{cell_sql(spec.place_of, literals)} as {face('l', name)}"
        for name, spec in specs.items()
        if spec.place_of
    ]
    matched = [pattern_sql(name, spec) for name, spec in specs.items()]
    mapped = [values_sql(table.column(name), spec) for name, spec in specs.items()]
    return (
        f"select *, {', '.join(mapped)} from (select *, {', '.join(matched)} "
        f'from (select "#row", {", ".join(written)} from ({rows})))'
    )


def _with_pseudonyms(
    con: duckdb.DuckDBPyConnection,
    texts: str,
    specs: Mapping[str, ColumnSpec],
    key: KeySource,
    scratch: str,
) -> str:
    """The same texts with persons replaced, by a table of the few different ones."""
    asked = [name for name, spec in specs.items() if spec.pseudonym]
    if not asked:
        return texts
    persons = f"persons_{scratch}"
    each = " union ".join(f"select {face('v', name)} as written from ({texts})" for name in asked)
    written = con.execute(f"select written from ({each}) where written is not null order by 1")
    pairs = pseudonyms((row[0] for row in written.fetchall()), key())
    con.execute(f"create or replace table {persons} (written varchar, pseudonym varchar)")
    if pairs:
        con.executemany(f"insert into {persons} values (?, ?)", pairs)
    replaced = ", ".join(
        f"p{place}.pseudonym as {face('v', name)}" for place, name in enumerate(asked)
    )
    joined = " ".join(
        f"left join {persons} as p{place} on p{place}.written = t.{face('v', name)}"
        for place, name in enumerate(asked)
    )
    return f"select t.* replace ({replaced}) from ({texts}) as t {joined}"


def _select(texts: str, readings: Sequence[Reading], extract_id: str) -> str:
    """The whole query of a part."""
    names = [reading.column.name for reading in readings]
    values = ", ".join(
        f"{value_sql(reading)} as {name_sql(reading.column.name)}" for reading in readings
    )
    reasons = ", ".join(
        f"{fault_sql(reading)} as {face('f', reading.column.name)}" for reading in readings
    )
    structs = ", ".join(_struct_sql(reading) for reading in readings)
    any_fault = " or ".join(f"{face('f', name)} is not null" for name in names)
    valued = f"select *, {values} from ({texts})"
    picked = ", ".join(name_sql(name) for name in names)
    return (
        f'select {picked}, "#row" as file_row, "#row" as source_row, '
        f"{quote(extract_id)} as extract_id, case when {any_fault} then "
        f"list_filter([{structs}], lambda fault: fault is not null) else {FAULTLESS} end as faults "
        f"from (select *, {reasons} from ({_placed_sql(valued, readings)}))"
    )


def _struct_sql(reading: Reading) -> str:
    name, spec = reading.column.name, reading.spec
    value = HIDDEN if spec.pseudonym or spec.place_of else face("r", name)
    reason = face("f", name)
    return (
        f"case when {reason} is not null then {{'column_name': {quote(name)}, 'value': {value}, "
        f"'reason': {reason}}} end"
    )


def _placed_sql(valued: str, readings: Sequence[Reading]) -> str:
    """Persons numbered as places: by first appearance at one machine on one day."""
    placed = [reading for reading in readings if reading.spec.place_of]
    if not placed:
        return valued
    dated = [r.column.name for r in readings if r.column.type in ("date", "instant")]
    day = f"{name_sql(dated[0])}[1:10]" if dated else "''"
    firsts, numbers = [], []
    for reading in placed:
        name = reading.column.name
        place, person = face("l", name), face("v", name)
        firsts.append(
            f'min("#row") over (partition by {place}, {day}, {person}) as {face("n", name)}'
        )
        numbers.append(
            f"case when {person} is not null then 'place ' || dense_rank() over (partition by "
            f"{place}, {day}, {person} is null order by {face('n', name)}) || ' of ' || "
            f"coalesce({place}, '?') end as {name_sql(name)}"
        )
    first_seen = f"select *, {', '.join(firsts)} from ({valued})"
    return f"select * replace ({', '.join(numbers)}) from ({first_seen})"

"""A population from which a sample can be drawn: the units of a record test, the rows of a table.

Each unit with its ref, its result where a test gives one, and its columns. This module draws
nothing and hides nobody; who prints a unit does that.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from witnessmark.errors import UnusableInputError, Where
from witnessmark.record_tests.engine import MARKS, RESULT, units_of
from witnessmark.record_tests.names import INDEXED
from witnessmark.record_tests.record_test import FIELD, Basis, RecordTest, catalogue
from witnessmark.record_tests.shown import ref_of
from witnessmark.records.persons import PERSONAL
from witnessmark.records.tables import TABLES
from witnessmark.timeline.build import Timeline

Result = Literal["exception", "conforming", "not assessable", ""]
SOURCE = ("extract_id", "source_row")
NOT_STRATA = frozenset({*MARKS, *INDEXED, *RESULT,
                        "fragile"})  # fmt: skip
"""Columns of a unit that are marks or stand-ins for a name: a result is chosen, never a stratum."""


@dataclass(frozen=True)
class Unit:
    """One unit.

    Args:
        ref: Its ref, unlike every other.
        result: What the record test found of it; empty for the row of a table.
        values: Its columns.
    """

    ref: str
    result: Result
    values: Mapping[str, object]


@dataclass(frozen=True)
class Population:
    """All units of a record test, or all rows of a table.

    Args:
        name: The test's slug or the table's name.
        about: What a unit is.
        persons_from: Step of the person basis from which its persons may be printed.
        key: Columns that make the ref.
        shows: Columns that help to find a unit.
        strata: Columns by which it may be split, the usual ones first.
        personal: Columns that may hold a person, beyond those known by their name.
        criteria: Name, value, unit and source of each threshold that took part.
        units: In the order of the key.
    """

    name: str
    about: str
    persons_from: Basis
    key: tuple[str, ...]
    shows: tuple[str, ...]
    strata: tuple[str, ...]
    personal: frozenset[str]
    criteria: tuple[str, ...]
    units: tuple[Unit, ...]

    @property
    def is_test(self) -> bool:
        """Whether its units carry a result."""
        return self.name in catalogue()


def population_of(name: str, timeline: Timeline, basis: Basis) -> Population:
    """The population of that name.

    Args:
        name: Slug of a record test, or name of a canonical table.
        timeline: Where it is found.
        basis: Step of the person basis that the plant has recorded.

    Raises:
        UnusableInputError: No such test or table, or a table that is not there.
        RecordTestError: The test cannot be assessed here.
    """
    if name in catalogue():
        return _of_test(catalogue()[name], timeline, basis)
    if name in TABLES:
        return _of_table(name, timeline)
    raise UnusableInputError.one(
        Where("--from"),
        f'there is no record test and no table "{name}".',
        "a slug of docs/record_tests/index.md or a table of docs/reference/records.md",
    )


def _of_test(test: RecordTest, timeline: Timeline, basis: Basis) -> Population:
    rows = [row for row in units_of(test, timeline, basis) if row["is_applicable"]]
    units = [Unit(ref_of(row, test.key), _result(row), row) for row in rows]
    named = [name for name in FIELD.findall(test.says) if name != "ref"]
    in_force = [timeline.criteria.in_force[name] for name in test.criteria]
    return Population(
        name=test.slug,
        about=f"the units of record test {test.slug} ({test.finding})",
        persons_from="profiling" if test.basis == "places" else test.basis,
        key=test.key,
        shows=tuple(dict.fromkeys([*test.key, *named])),
        strata=tuple(
            name
            for name in dict.fromkeys([*test.strata, *(rows[0] if rows else ())])
            if name not in NOT_STRATA
        ),
        personal=frozenset(),
        criteria=tuple(
            f"{item.key.name} = {item.value} {item.key.unit} ({item.source})" for item in in_force
        ),
        units=tuple(units),
    )


def _result(row: Mapping[str, object]) -> Result:
    if row["why_not"] is not None:
        return "not assessable"
    return "exception" if row["is_exception"] else "conforming"


def _of_table(name: str, timeline: Timeline) -> Population:
    table = TABLES[name]
    if not timeline.store.has(name):
        raise UnusableInputError.one(Where("--from"), f'the records hold no table "{name}".')
    given = [column for column in table.columns if timeline.store.has(name, column.name)]
    columns = [column.name for column in given]
    picked = ", ".join(f'"{column}"' for column in [*columns, *SOURCE])
    order = ", ".join(f'"{column}"' for column in [*table.key, "row_ix"])
    key = ", ".join(f'"{column}"' for column in table.key if column not in columns)
    found = timeline.store.con.execute(
        f"select {picked}{', ' + key if key else ''} from {name} order by {order}"
    )
    names = [entry[0] for entry in found.description or []]
    rows = [dict(zip(names, row, strict=True)) for row in found.fetchall()]
    needed = [column.name for column in given if not column.optional]
    return Population(
        name=name,
        about=f"the rows of table {name}",
        persons_from="allocations" if name == "allocations" else "profiling",
        key=table.key,
        shows=tuple(dict.fromkeys([*table.key, *needed, *SOURCE])),
        strata=tuple(columns),
        personal=PERSONAL.get(name, frozenset()),
        criteria=(),
        units=_told_apart([Unit(ref_of(row, table.key), "", row) for row in rows]),
    )


def _told_apart(units: list[Unit]) -> tuple[Unit, ...]:
    """Rows with equal refs, which an empty key column allows, are told apart by their place."""
    times = Counter(unit.ref for unit in units)
    return tuple(
        unit
        if times[unit.ref] == 1
        else replace(
            unit, ref=f"{unit.ref} ({unit.values['extract_id']}, row {unit.values['source_row']})"
        )
        for unit in units
    )

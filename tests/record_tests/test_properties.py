"""What holds for every record test whatever the data: shown on the data of every case.

Rows may come in any order; rows of tables that a test does not read change nothing; moving every
clock by whole weeks changes nothing.
"""

import random
import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from witnessmark.record_tests.cases import read_case_file, run_case
from witnessmark.record_tests.record_test import catalogue
from witnessmark.records.memory import TextTable
from witnessmark.records.tables import TABLES
from witnessmark.timeline.build import canonical_reads

FOLDER = Path(__file__).parent / "cases"
FILES = [read_case_file(path) for path in sorted(FOLDER.glob("*.md"))]
DAY = re.compile(r"\b(20\d\d)-(\d\d)-(\d\d)\b")
# 52 weeks back keeps weekdays and, from 2026 to 2025, both changes of the clocks.
SHIFT = timedelta(days=-364)
CALENDAR = {"status-rule-drift"}
"""Tests that count by month or quarter: moving the calendar may change them."""


def counts_of(test, case, file):
    outcome = run_case(test, case, file).outcome
    counts = outcome.counts
    return (
        outcome.status,
        outcome.message,
        counts.population,
        counts.exceptions,
        dict(counts.not_assessable),
        dict(counts.not_applicable),
        counts.fragile_exceptions,
        counts.fragile_conforming,
    )


def refs_of(test, case, file):
    return [row["ref"] for row in run_case(test, case, file).outcome.rows]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.slug)
def test_the_order_of_rows_changes_nothing(file):
    test = catalogue()[file.slug]
    for case in file.cases:
        generator = random.Random(7)
        tables = {}
        for name, table in case.tables.items():
            rows = list(table.rows)
            generator.shuffle(rows)
            tables[name] = replace(table, rows=tuple(rows))
        shuffled = replace(case, tables=tables)
        assert counts_of(test, shuffled, file.file) == counts_of(test, case, file.file), case.name
        assert refs_of(test, shuffled, file.file) == refs_of(test, case, file.file), case.name


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.slug)
def test_rows_of_tables_that_it_does_not_read_change_nothing(file):
    test = catalogue()[file.slug]
    read = canonical_reads(test.sql.tables()) | {"extracts", "clocks"}
    for case in file.cases:
        days = [match[0] for table in case.tables.values() for row in table.rows
                for match in [DAY.search(" ".join(row))] if match]  # fmt: skip
        if not days:
            continue
        day = sorted(days)[len(days) // 2]
        others = {name: key_row(name, day) for name in TABLES if name not in read}
        more = replace(case, tables={**others, **case.tables})
        assert counts_of(test, more, file.file) == counts_of(test, case, file.file), case.name


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.slug)
def test_moving_every_clock_by_whole_weeks_changes_nothing(file):
    test = catalogue()[file.slug]
    if test.slug in CALENDAR:
        return
    for case in file.cases:
        moved = {
            name: replace(
                table, rows=tuple(tuple(move(cell) for cell in row) for row in table.rows)
            )
            for name, table in case.tables.items()
        }
        period = tuple(move(end) for end in case.period) if case.period else None
        later = replace(case, tables=moved, period=period)
        assert counts_of(test, later, file.file) == counts_of(test, case, file.file), case.name


def key_row(name, day):
    columns = [column for column in TABLES[name].columns if column.key and not column.optional]
    cells = {"instant": f"{day} 12:00", "date": day, "int": "1"}
    row = tuple(c.words[0] if c.words else cells.get(c.type, "elsewhere") for c in columns)
    return TextTable(tuple(column.name for column in columns), (row,))


def move(text):
    return DAY.sub(lambda m: (date(int(m[1]), int(m[2]), int(m[3])) + SHIFT).isoformat(), text)

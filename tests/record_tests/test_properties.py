"""What holds for every record test whatever the data: shown on the data of every case.

Rows may come in any order; rows of tables that a test does not read change nothing; moving every
clock by whole weeks changes nothing.
"""

import random
import re
from contextlib import closing
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from witnessmark.record_tests.cases import read_case_file, run_case
from witnessmark.record_tests.record_test import catalogue
from witnessmark.records.memory import Shelf, TextTable
from witnessmark.records.tables import TABLES
from witnessmark.timeline.build import canonical_reads

FOLDER = Path(__file__).parent / "cases"
FILES = [read_case_file(path) for path in sorted(FOLDER.glob("*.md"))]
DAY = re.compile(r"(20\d\d)-(\d\d)-(\d\d)(?!\d)")
# 52 weeks back keeps weekdays and, from 2026 to 2025, both changes of the clocks.
SHIFT = timedelta(days=-364)
CALENDAR = {"status-rule-drift"}
"""Tests that count by month or quarter: moving the calendar may change them."""


@pytest.fixture(scope="module")
def shelf():
    with closing(Shelf()) as opened:
        yield opened


def result_of(test, case, file, shelf):
    """What may not change: status and counts; refs hold times, so that they are only counted."""
    outcome = run_case(test, case, file, shelf).outcome
    return outcome.status, outcome.message, outcome.counts, outcome.rows_total


SAMPLE = 1
"""Cases per record test on which the properties are shown; each is run twice or more."""


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.slug)
def test_order_other_tables_and_whole_weeks_change_nothing(file, shelf):
    """All three at once; where the result differs, each alone says which it was."""
    test = catalogue()[file.slug]
    for case in random.Random(file.slug).sample(file.cases, min(SAMPLE, len(file.cases))):
        before = result_of(test, case, file.file, shelf)
        steps = [shuffled, lambda one: among_others(one, test)]
        steps += [] if test.slug in CALENDAR else [weeks_earlier]
        changed = case
        for step in steps:
            changed = step(changed)
        if result_of(test, changed, file.file, shelf) != before:
            for step in steps:
                assert result_of(test, step(case), file.file, shelf) == before, case.name
            pytest.fail(f"{case.name}: only all changes together change the result")


def shuffled(case):
    generator = random.Random(7)
    tables = {
        name: replace(table, rows=tuple(generator.sample(table.rows, len(table.rows))))
        for name, table in case.tables.items()
    }
    return replace(case, tables=tables)


def among_others(case, test):
    read = canonical_reads(test.sql.tables()) | {"extracts", "clocks"}
    days = [match[0] for table in case.tables.values() for row in table.rows
            for match in [DAY.search(" ".join(row))] if match]  # fmt: skip
    if not days:
        return case
    day = sorted(days)[len(days) // 2]
    others = {name: key_row(name, day) for name in TABLES if name not in read}
    return replace(case, tables={**others, **case.tables})


def weeks_earlier(case):
    tables = {
        name: replace(table, rows=tuple(tuple(move(cell) for cell in row) for row in table.rows))
        for name, table in case.tables.items()
    }
    period = tuple(move(end) for end in case.period) if case.period else None
    return replace(case, tables=tables, period=period)


def key_row(name, day):
    columns = [column for column in TABLES[name].columns if column.key and not column.optional]
    cells = {"instant": f"{day} 12:00", "date": day, "int": "1"}
    row = tuple(c.words[0] if c.words else cells.get(c.type, "elsewhere") for c in columns)
    return TextTable(tuple(column.name for column in columns), (row,))


def move(text):
    return DAY.sub(lambda m: (date(int(m[1]), int(m[2]), int(m[3])) + SHIFT).isoformat(), text)

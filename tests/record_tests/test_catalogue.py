"""House rules that hold for every record test."""

import re

import pytest

from witnessmark.criteria.keys import KEYS
from witnessmark.criteria.load import default_criteria
from witnessmark.errors import Where
from witnessmark.record_tests.engine import Settings, run_tests
from witnessmark.record_tests.record_test import BANNED_NAME, BASES, FAMILIES, HEADINGS, catalogue
from witnessmark.records.memory import Shelf, TextTable
from witnessmark.records.tables import TABLES
from witnessmark.records.zones import zone_of
from witnessmark.timeline.build import Timeline, derived_tables, needed_for

BANNED_SQL = re.compile(
    r"\b(first|any_value|now|today|current_timestamp|random)\s*\(|\bcurrent_date\b|"
    r"interval \(|\bleast\(|\bgreatest\(|over \(\)|\bcount_if\(",
)
BLAME = re.compile(
    r"falsif|\bfraud|\bcheat|\bblame|\bguilty|\bdefective\b|\bnegligen", re.IGNORECASE
)
TESTS = [pytest.param(test, id=slug) for slug, test in catalogue().items()]
CLAUSE = re.compile(r"^[QA] \d+(\.\d+)*( [a-h])?$")


def all_tables(rows=()):
    """Every canonical table, present; with the given rows of empty cells but keys."""
    return {
        table.name: TextTable(tuple(column.name for column in table.columns), tuple(rows))
        for table in TABLES.values()
    }


@pytest.fixture(scope="module")
def run():
    """Runs a test on tables; what all tests of the catalogue are shown is typed once."""
    shelf = Shelf()

    def run_on(test, tables):
        timeline = Timeline(
            shelf.store(tables, zone_of("Europe/Berlin", Where("x"))), default_criteria()
        )
        (outcome,) = run_tests([test], timeline, Settings(basis="profiling"))
        return outcome

    yield run_on
    shelf.close()


@pytest.mark.parametrize("test", TESTS)
def test_prose_stands_under_all_headings_in_order(test):
    assert tuple(test.sections) == HEADINGS
    assert all(len(text) > 20 for text in test.sections.values())


@pytest.mark.parametrize("test", TESTS)
def test_words(test):
    assert not BANNED_NAME.match(test.slug)
    assert test.family in FAMILIES
    assert test.pattern in {"systemic", "isolated", "depends"}
    assert test.basis in BASES
    assert test.finding.endswith(".")
    assert test.says.endswith(".")
    assert "{ref}" in test.says or test.shown
    assert all(CLAUSE.match(clause) for clause in test.clauses)
    assert test.clauses
    assert not BLAME.search(test.sql.prose + test.finding + test.says)


@pytest.mark.parametrize("test", TESTS)
def test_needs_uses_and_criteria_exist(test):
    for need in [*test.needs, *test.uses]:
        for alternative in need.split("|"):
            table, _, column = alternative.strip().partition(".")
            assert table in TABLES
            assert not column or TABLES[table].column(column)
    assert set(test.criteria) <= set(KEYS)
    used = set(test.sql.parameters())
    for name in needed_for(test.sql.tables()):
        used |= derived_tables()[name].parameters()
    declared = {KEYS[name].parameter for name in test.criteria}
    assert test.sql.parameters() <= declared, "every parameter of the query is declared"
    assert declared <= used, "every declared criterion takes part"


@pytest.mark.parametrize("test", TESTS)
def test_tables_read_directly_are_declared(test):
    named = {alternative.strip().partition(".")[0] for need in [*test.needs, *test.uses]
             for alternative in need.split("|")}  # fmt: skip
    read = {name for name in test.sql.tables() if name in TABLES}
    assert read <= named, "a table that the query reads is in needs or uses"


@pytest.mark.parametrize("test", TESTS)
def test_query_uses_nothing_banned(test):
    assert not BANNED_SQL.findall(test.sql.query)


@pytest.mark.parametrize("name", sorted(derived_tables()))
def test_derived_table_uses_nothing_banned(name):
    assert not BANNED_SQL.findall(derived_tables()[name].query)


@pytest.mark.parametrize("test", TESTS)
def test_empty_tables_are_nothing_to_test(test, run):
    outcome = run(test, all_tables())
    assert (outcome.status, outcome.message) == ("nothing-to-test", "")


@pytest.mark.parametrize("test", TESTS)
def test_absent_tables_are_named(test, run):
    outcome = run(test, {})
    assert outcome.status == "not-assessable"
    assert outcome.missing


@pytest.mark.parametrize("test", TESTS)
def test_rows_with_nothing_but_a_key_never_pass(test, run):
    """All-null rows: whatever population they make, none of it is conforming."""
    tables = {}
    for table in TABLES.values():
        key = [column for column in table.columns if column.key and not column.optional]
        cells = {"instant": "2026-03-02 10:00", "date": "2026-03-02", "int": "1"}
        row = tuple(
            column.words[0] if column.words else cells.get(column.type, "k1") for column in key
        )
        tables[table.name] = TextTable(tuple(column.name for column in key), (row,))
    outcome = run(test, tables)
    assert outcome.status != "failed", outcome.message
    assert outcome.counts.conforming == 0

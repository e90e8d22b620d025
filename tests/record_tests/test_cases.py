"""Every case file holds; one test per case, so that a failure names the case."""

from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.errors import UnusableInputError
from witnessmark.record_tests import engine
from witnessmark.record_tests.cases import parse_cases, read_case_file, run_case, run_case_file
from witnessmark.record_tests.record_test import catalogue
from witnessmark.records.memory import Shelf

FOLDER = Path(__file__).parent / "cases"
SOME = 4
"""Cases that are run once more for another way through the engine."""
FILES = [read_case_file(path) for path in sorted(FOLDER.glob("*.md"))]
CASES = [
    pytest.param(file, case, id=f"{file.slug}-{case.name}") for file in FILES for case in file.cases
]


@pytest.fixture(scope="module")
def file(request):
    """A file and its shelf: its cases, which run next to each other, share most of their tables."""
    with closing(Shelf()) as shelf:
        yield request.param, shelf


@pytest.mark.parametrize(("file", "case"), CASES, indirect=["file"], scope="module")
def test_case_holds(file, case):
    file, shelf = file
    verdict = run_case(catalogue()[file.slug], case, file.file, shelf)
    assert verdict.differences == ()


@pytest.mark.parametrize("slug", sorted(catalogue()))
def test_every_record_test_has_its_compulsory_cases(slug):
    file = read_case_file(FOLDER / f"{slug}.md")
    assert file.slug == slug
    expected = [case.expected for case in file.cases]
    clean = [e for e in expected if e.refs.get("exceptions") == frozenset() and _population(e)]
    faulty = [e for e in expected if e.refs.get("exceptions") or e.counts.get("exceptions")]
    doubtful = [e for e in expected if e.numbers.get("not assessable")]
    names = [case.name for case in file.cases]
    assert clean, "a clean case: a population, none of it an exception"
    assert faulty, "a case with an exception"
    assert doubtful, "a case with a unit that is not assessable"
    assert file.no_boundary_because.startswith("none, because") or _tagged(names, "(boundary)")
    assert _tagged(names, "(trap)"), "one trap of RECORD_TESTS.md"


def test_every_case_file_belongs_to_a_record_test():
    assert {file.slug for file in FILES} == set(catalogue())


def _population(expected):
    return expected.numbers.get("population", 0) > expected.numbers.get("not assessable", 0)


def _tagged(names, tag):
    return any(tag in name for name in names)


@given(st.text(alphabet="#| \n:-abcz2026,=none`", max_size=300))
@settings(max_examples=200, deadline=None)
def test_any_text_is_a_case_file_or_a_clear_refusal(text):
    try:
        file = parse_cases(text, "any.md")
    except UnusableInputError as refusal:
        files = {fault.where.file for fault in refusal.faults}
    else:
        files = {file.file} if all(case.expected for case in file.cases) and file.slug else set()
    assert files == {"any.md"}


def test_a_misspelt_word_is_refused_with_its_line():
    text = "# gauge-overdue\n\nexpct: population 1\n\n## a case\n\nexpect: populaton 1\n"
    with pytest.raises(UnusableInputError) as refusal:
        parse_cases(text, "mine.md")
    said = str(refusal.value)
    assert 'mine.md, row 3: "expct:" is no word of a case file.' in said
    assert 'mine.md, row 7: "populaton 1" is no expectation.' in said


def test_a_wrong_expectation_is_told_with_both_numbers():
    text = (FOLDER / "gauge-overdue.md").read_text()
    file = parse_cases(text.replace("exceptions none", "exceptions c9/10/1", 1), "mine.md")
    verdict = run_case_file(file)[0]
    assert verdict.differences == ("exceptions none, expected c9/10/1",)


@pytest.mark.parametrize("slug", ["check-interval-exceeded", "gauge-overdue", "late-entry"])
def test_a_population_too_large_to_be_set_aside_is_counted_alike(slug, monkeypatch):
    file, test = read_case_file(FOLDER / f"{slug}.md"), catalogue()[slug]

    def outcomes():
        with closing(Shelf()) as shelf:
            return [run_case(test, case, file.file, shelf).outcome for case in file.cases[:SOME]]

    aside = outcomes()
    assert any(outcome.counts.exceptions for outcome in aside)
    monkeypatch.setattr(engine, "UNITS_ASIDE", 0)
    assert outcomes() == aside

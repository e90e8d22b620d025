"""The scaffold of a record test: it runs, its cases hold, and a bad name is refused."""

import subprocess
import sys
from pathlib import Path

import pytest

from witnessmark.errors import UnusableInputError
from witnessmark.record_tests.cases import read_case_file, run_case
from witnessmark.record_tests.record_test import HEADINGS, read_record_test
from witnessmark.records.memory import Shelf

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def new_test(script):
    return script("new_test")


@pytest.fixture
def scaffold(new_test, tmp_path):
    """The new record test and its case file, read back from disk."""
    query, cases = (tmp_path / path for path in new_test.write("checks/slow-clerk", tmp_path))
    test = read_record_test(query.read_text(), "checks", "slow-clerk")
    return test, read_case_file(cases)


def test_a_new_record_test_has_all_headings_and_the_compulsory_cases(scaffold):
    test, cases = scaffold
    assert tuple(test.sections) == HEADINGS
    assert all(len(text) > 20 for text in test.sections.values())
    assert cases.slug == "slow-clerk"
    names = [case.name for case in cases.cases]
    assert len(names) == 5
    assert any("(boundary)" in name for name in names)
    assert any("(trap)" in name for name in names)


def test_the_cases_of_a_new_record_test_hold(scaffold):
    test, cases = scaffold
    shelf = Shelf()
    verdicts = [run_case(test, case, cases.file, shelf) for case in cases.cases]
    shelf.close()
    assert [verdict.differences for verdict in verdicts] == [()] * 5
    assert sum(verdict.outcome.rows_total for verdict in verdicts) == 2


def test_the_query_of_a_new_record_test_is_in_shape(new_test, tmp_path):
    path = tmp_path / new_test.write("checks/slow-clerk", tmp_path)[0]
    command = [Path(sys.executable).with_name("sqlfluff"), "lint", "--config", "pyproject.toml"]
    done = subprocess.run(
        [*map(str, command), str(path)], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("checks/no-first-off", 'may not begin with "no-"'),
        ("checks/check-that-gauges-are-due", 'may not begin with "check-that-"'),
        ("weather/slow-clerk", '"weather" is no family'),
        ("checks/Slow", '"Slow" is no slug'),
        ("slow-clerk", '"slow-clerk" is no family'),
    ],
)
def test_a_name_that_cannot_be_used_is_refused_and_nothing_is_written(
    new_test, tmp_path, name, said
):
    with pytest.raises(UnusableInputError, match=said):
        new_test.write(name, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_second_scaffold_of_one_name_is_refused(new_test, tmp_path):
    new_test.write("checks/slow-clerk", tmp_path)
    with pytest.raises(UnusableInputError, match="exists already"):
        new_test.write("staffing/slow-clerk", tmp_path)


def test_the_command_refuses_a_name_that_is_taken_in_one_line():
    command = [sys.executable, "scripts/new_test.py", "checks/gauge-overdue"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    (line,) = done.stderr.splitlines()
    assert "gauge-overdue.md exists already" in line

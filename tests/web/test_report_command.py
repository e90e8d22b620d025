"""`report` as a command: the files it writes, what it says, and its exit codes."""

import json
import shutil
import sys
from dataclasses import replace

import pytest
from tests.report.audit_report.plant_audit import (
    AUDIT,
    FREEZE,
    PROTECTED,
    Clock,
    made_up_outcomes,
    write_all,
)

from witnessmark import cli
from witnessmark.record_tests.kept import keep

# The commands are called as `main` calls them, from sys.argv, which is what the warning is about.
pytestmark = pytest.mark.filterwarnings("ignore:Cyclopts application invoked without tokens")


@pytest.fixture
def command(monkeypatch, capsys):
    """Runs a command as `main` does; gives exit code and what was said."""

    def run(*words):
        monkeypatch.setattr(sys, "argv", ["witnessmark", *map(str, words)])
        try:
            cli.main()
            code = 0
        except SystemExit as ended:
            code = ended.code or 0
        told = capsys.readouterr()
        return code, told.out + told.err

    return run


@pytest.fixture
def installed(web, database):
    """An installation with the rich audit and its kept outcomes; gives the data folder."""
    from witnessmark.web.store.desk import STATES, desk

    STATES.forget()
    home = web.records / FREEZE
    home.mkdir(parents=True)
    keep(made_up_outcomes(), home)
    write_all(replace(desk(), clock=Clock()), made_up_outcomes())
    yield web
    shutil.rmtree(home)


def test_all_papers_are_written_twice_with_the_same_bytes(installed, command, tmp_path):
    for name in ("one", "two"):
        code, said = command("report", AUDIT, "--out", tmp_path / name, "--data", installed.path)
        assert (code, said.count(str(tmp_path / name))) == (0, 6)
    written = sorted(path.name for path in (tmp_path / "one").iterdir())
    assert written == [
        "finding-0b7f3c52-1.pdf",
        "finding-0b7f3c52-2.pdf",
        "finding-0b7f3c52-3.pdf",
        "report-0b7f3c52.json",
        "report-0b7f3c52.pdf",
        "working-papers-0b7f3c52.xlsx",
    ]
    for name in written:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_one_form_is_written_from_what_the_runs_kept(installed, command, tmp_path):
    words = ("report", AUDIT, "--out", tmp_path, "--data", installed.path, "--form", "json")
    assert command(*words)[0] == 0
    (path,) = tmp_path.iterdir()
    told = json.loads(path.read_text("utf-8"))
    assert told["working_papers"]["populations"]["rows"][0]["freeze"] == FREEZE[:12]
    assert PROTECTED not in path.read_text("utf-8")


def test_a_finding_that_does_not_stand_is_refused_by_name(installed, command, tmp_path):
    words = ("report", AUDIT, "--out", tmp_path, "--data", installed.path, "--form", "record")
    code, said = command(*words, "--finding", "4")
    assert (code, "4 does not stand in this audit" in said) == (2, True)
    assert command(*words, "--finding", "3")[0] == 0
    assert [path.name for path in tmp_path.iterdir()] == ["finding-0b7f3c52-3.pdf"]


def test_what_is_not_there_is_said(installed, command, tmp_path):
    words = ("--out", tmp_path / "a", "--data", installed.path)
    code, said = command("report", "Milling", *words)
    assert (code, "no audit has this title" in said) == (2, True)
    code, said = command("report", AUDIT.replace("0b", "1b"), *words)
    assert (code, "no journal here" in said) == (2, True)
    assert not (tmp_path / "a").exists()

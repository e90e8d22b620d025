"""The commands behind `make`: what they say, and when they fail."""

import subprocess
import sys
from types import SimpleNamespace

import pytest


def test_a_check_that_fails_is_shown_and_one_that_holds_is_one_line(script, monkeypatch, capfd):
    check = script("check")
    calm = (sys.executable, "-c", "print('all quiet')")
    loud = (sys.executable, "-c", "print('line 3 is wrong'); raise SystemExit(4)")
    monkeypatch.setattr(check, "CHECKS", {"lint": loud, "types": calm})
    assert check.main() == 1
    said = capfd.readouterr().out.splitlines()
    assert said[0].split()[:2] == ["lint", "failed"]
    assert said[1] == "line 3 is wrong"
    assert said[2].split()[:2] == ["types", "ok"]
    assert len(said) == 3

    monkeypatch.setattr(check, "CHECKS", {"types": calm})
    assert check.main() == 0


@pytest.fixture
def run_tests(script, monkeypatch):
    """The script with pytest replaced by a list of the commands it would run."""
    module = script("run_tests")
    commands = []

    def record(command, **_):
        commands.append(command)
        return SimpleNamespace(returncode=module.pretended)

    monkeypatch.setattr(subprocess, "run", record)
    monkeypatch.setattr(sys, "argv", ["run_tests.py"])
    module.commands, module.pretended = commands, 0
    return module


@pytest.mark.parametrize(("ci", "code"), [("true", 1), ("", 0)])
def test_what_cannot_be_run_is_said_and_fails_only_a_machine_that_must_prove(
    run_tests, monkeypatch, capsys, ci, code
):
    need = run_tests.Need("browser", "Chromium", ("no-such-program-here",))
    monkeypatch.setattr(run_tests, "NEEDS", (need,))
    monkeypatch.setenv("CI", ci)
    assert run_tests.main() == code
    (command,) = run_tests.commands
    assert command[-2:] == ["-m", "not browser"]
    assert "NOT RUN: tests marked 'browser', because Chromium" in capsys.readouterr().out


def test_where_nothing_is_missing_everything_runs_and_pytest_decides(
    run_tests, monkeypatch, capsys
):
    monkeypatch.setattr(run_tests, "NEEDS", (run_tests.Need("browser", "Python", ("python3",)),))
    monkeypatch.setenv("CI", "true")
    run_tests.pretended = 3
    assert run_tests.main() == 3
    (command,) = run_tests.commands
    assert "-m" not in command[3:]
    assert "NOT RUN" not in capsys.readouterr().out


def test_a_formatter_that_touches_the_prose_is_undone(script, monkeypatch, tmp_path, capsys):
    module = script("format_sql")
    folder = tmp_path / "sql"
    folder.mkdir()
    kept, harmed = folder / "kept.sql", folder / "harmed.sql"
    for file in (kept, harmed):
        file.write_text("/*---\nabout = 'x'\n---\nProse.\n*/\nselect  1\n")

    def careless(*_, **__):
        kept.write_text(kept.read_text().replace("select  1", "select 1"))
        harmed.write_text(harmed.read_text().replace("Prose.", ""))

    monkeypatch.setattr(module, "ROOT", tmp_path)
    monkeypatch.setattr(module, "FOLDERS", ("sql",))
    monkeypatch.setattr(subprocess, "run", careless)
    assert module.main() == 1
    assert kept.read_text().endswith("*/\nselect 1\n")
    assert harmed.read_text().endswith("Prose.\n*/\nselect  1\n")
    assert "sql/harmed.sql" in capsys.readouterr().out


def test_sql_that_passed_is_not_linted_again_until_it_changes(script, monkeypatch, tmp_path):
    module = script("lint_sql")
    (tmp_path / "sql").mkdir()
    (tmp_path / "pyproject.toml").write_text("")
    for name in ("good", "bad"):
        (tmp_path / f"sql/{name}.sql").write_text(f"select '{name}'\n")
    asked = []

    def pretend(command, **_):
        asked.append([word for word in command if word.endswith(".sql")])
        wrong = [path for path in asked[-1] if path.endswith("bad.sql")]
        return SimpleNamespace(
            returncode=len(wrong), stdout="".join(f"== [{path}] FAIL\n" for path in wrong)
        )

    monkeypatch.setattr(module, "ROOT", tmp_path)
    monkeypatch.setattr(module, "FOLDERS", ("sql",))
    monkeypatch.setattr(subprocess, "run", pretend)
    assert [module.main(), module.main()] == [1, 1]
    assert asked == [["sql/bad.sql", "sql/good.sql"], ["sql/bad.sql"]]

    (tmp_path / "sql/bad.sql").unlink()
    (tmp_path / "sql/good.sql").write_text("select 'better'\n")
    assert [module.main(), module.main()] == [0, 0]
    assert asked[2:] == [["sql/good.sql"]]

    (tmp_path / "pyproject.toml").write_text("[tool.sqlfluff.core]\n")
    assert module.main() == 0
    assert asked[3:] == [["sql/good.sql"]]

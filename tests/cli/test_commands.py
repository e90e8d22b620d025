"""The commands as a user calls them: in a process of their own, on files in a folder."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import duckdb
import pytest

WITNESSMARK = Path(sys.executable).parent / "witnessmark"
CASES = Path(__file__).parent.parent / "record_tests" / "cases"
FILES = {
    "plant.toml": 'zone = "Europe/Berlin"\nname = "A small shop"\n',
    "criteria.toml": '[late_entry_min]\nvalue = 20\ndocument = "WI-07 rev 3"\n',
    "runs.csv": "run_id,machine_id,part_no,start_at,end_at,good\n"
    "r1,M1,P1,2026-03-02 06:00,2026-03-02 14:00,400\n",
    "checks.csv": "check_id,machine_id,part_no,kind,done_at,entered_at,result\n"
    "c1,M1,P1,patrol,2026-03-02 07:00,2026-03-02 07:05,pass\n"
    "c2,M1,P1,patrol,2026-03-02 09:00,2026-03-02 13:50,pass\n"
    "c3,M1,P1,patrol,2026-03-02 25:00,2026-03-02 13:50,pass\n",
}


def run(*arguments, cwd=None):
    return subprocess.run(
        [WITNESSMARK, *map(str, arguments)], capture_output=True, text=True, check=False, cwd=cwd
    )


@pytest.fixture(scope="module")
def tested(tmp_path_factory):
    """A folder of exports on which the job ran."""
    folder = tmp_path_factory.mktemp("exports")
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    done = run("test", folder, "--json", folder / "outcomes.out", "--out", folder / "paper")
    return folder, done


def test_the_job_ends_well_and_says_where_its_paper_is(tested):
    folder, done = tested
    assert (done.returncode, done.stderr) == (0, "")
    paper = folder / "paper" / "working-paper.html"
    assert done.stdout.strip().endswith(str(paper))
    text = paper.read_text(encoding="utf-8")
    assert "A small shop" in text
    assert "http://" not in text.replace("http://www.w3.org", "")
    assert "<script src" not in text


def test_the_json_holds_what_each_slug_promises(tested):
    folder, _ = tested
    outcomes = json.loads((folder / "outcomes.out").read_text(encoding="utf-8"))
    late = outcomes["late-entry"]
    assert late["status"] == "assessed"
    assert (late["population"], late["assessed"], late["exceptions"]) == (2, 2, 1)
    assert [row["ref"] for row in late["rows"]] == ["c2"]
    assert {"not_assessable", "not_applicable", "fragile", "rate", "lower", "upper", "criteria",
            "strata"} <= set(late)  # fmt: skip
    assert outcomes["suspect-shipped"]["status"] == "not-assessable"


def test_a_refused_row_is_counted_and_kept(tested):
    folder, _ = tested
    (freeze,) = (folder / ".witnessmark").iterdir()
    (extract,) = [
        item
        for item in json.loads((freeze / "manifest.json").read_text(encoding="utf-8"))["extracts"]
        if item["file"] == "checks.csv"
    ]
    assert (extract["rows_read"], extract["rows_loaded"], extract["rows_refused"]) == (3, 2, 1)
    refused = (freeze / "refused.csv").read_text(encoding="utf-8")
    assert "2026-03-02 25:00" in refused


def test_open_sql_gives_the_same_rows_in_a_plain_shell(tested, monkeypatch):
    folder, _ = tested
    (freeze,) = (folder / ".witnessmark").iterdir()
    monkeypatch.chdir(freeze)
    with duckdb.connect() as con:
        con.execute((freeze / "open.sql").read_text(encoding="utf-8"))
        rows = con.execute("select check_id from record_test_late_entry where exception").fetchall()
    assert rows == [("c2",)]


def test_the_same_input_gives_the_same_outcomes(tested, tmp_path):
    folder, _ = tested
    again = tmp_path / "again"
    again.mkdir()
    for name in FILES:
        shutil.copy(folder / name, again)
    assert run("test", again, "--json", tmp_path / "again.json").returncode == 0
    assert (tmp_path / "again.json").read_text() == (folder / "outcomes.out").read_text()


def test_only_runs_what_is_named(tested, tmp_path):
    folder, _ = tested
    done = run("test", folder, "--only", "late-entry", "--json", tmp_path / "one.json",
               "--out", tmp_path)  # fmt: skip
    assert done.returncode == 0
    assert set(json.loads((tmp_path / "one.json").read_text())) == {"late-entry"}


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({}, "plant.toml"),
        ({"plant.toml": 'zone = "Nowhere/Else"\n'}, "is no known time zone"),
        ({"plant.toml": 'zone = "UTC"\n', "criteria.toml": "late = 3\n"}, "no such criterion"),
        ({"plant.toml": 'zone = "UTC"\n', "runs.csv": ""}, "runs.csv"),
        ({"plant.toml": 'zone = "UTC"\n', "runs.csv": "run_id,machine_id\nr1,M1\n"}, "part_no"),
    ],
)
def test_unusable_input_ends_with_code_two_and_its_place(tmp_path, files, said):
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    done = run("test", tmp_path)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_a_folder_that_is_not_there(tmp_path):
    done = run("test", tmp_path / "nowhere")
    assert (done.returncode, "there is no such folder" in done.stderr) == (2, True)


def test_an_unknown_slug_is_named(tested):
    folder, _ = tested
    done = run("test", folder, "--only", "late-entrance")
    assert done.returncode == 2
    assert "there is no record test late-entrance" in done.stderr


def test_case_files_decide_the_exit_code(tmp_path):
    text = (CASES / "late-entry.md").read_text()
    good = tmp_path / "good.md"
    good.write_text("## ".join(text.split("## ")[:3]))
    assert run("case", good).returncode == 0
    wrong = tmp_path / "wrong.md"
    wrong.write_text(good.read_text().replace("exceptions c1 c2", "exceptions c1"))
    done = run("case", wrong)
    assert done.returncode == 1
    assert "exceptions c1 c2, expected c1" in done.stdout
    broken = tmp_path / "broken.md"
    broken.write_text("no case at all\n")
    done = run("case", broken)
    assert done.returncode == 2
    assert "names no record test" in done.stderr


def test_a_reader_who_leaves_early_gets_no_traceback():
    command = "witnessmark rate 3 of 30 | head -1"
    path = f"{Path(sys.executable).parent}:{os.environ['PATH']}"
    done = subprocess.run(
        ["/bin/sh", "-c", command],
        check=False,
        capture_output=True,
        text=True,
        env=os.environ | {"PATH": path, "PYTHONUNBUFFERED": "1"},
    )
    assert done.stdout.split() == ["Found", "3"]
    assert not done.stderr

"""A freeze: the same input finds the same freeze, and says all of itself."""

import json
import shutil

import duckdb
import pytest

from witnessmark.errors import UnusableInputError
from witnessmark.records.manifest import read_manifest
from witnessmark.records.reopen import open_freeze

RUNS = """run_id,machine_id,part_no,start_at,end_at,good
r1,M1,007,2026-01-05 06:00,2026-01-05 14:00,100
r2,M1,007,2026-01-05 14:00,2026-01-05 22:00,90
"""
PARTS = "part_no,mass_g\n007,12.5\n"


def test_canonical_files_need_no_mapping(exports):
    exports.file("runs.csv", RUNS)
    exports.file("parts.csv", PARTS)
    assert exports.query("select run_id, part_no, start_at, good from runs order by run_id")[0][
        :2
    ] == ("r1", "007")
    assert (
        exports.query("select local_time(start_at) from runs where run_id = 'r1'")[0][0].hour == 6
    )
    assert exports.query("select cast(mass_g as varchar) from parts") == [("12.500000",)]


def test_the_same_input_is_the_same_freeze(exports):
    exports.file("runs.csv", RUNS)
    first = exports.freeze()
    stamp = (first.path / "manifest.json").stat().st_mtime_ns
    again = exports.freeze()
    assert (again.path, again.identity) == (first.path, first.identity)
    assert (again.path / "manifest.json").stat().st_mtime_ns == stamp


def test_the_identity_does_not_depend_on_where_the_folder_is(exports, tmp_path):
    exports.file("runs.csv", RUNS)
    first = exports.freeze()
    shutil.copytree(exports.folder, tmp_path / "copy", ignore=shutil.ignore_patterns(".*"))
    exports.folder = tmp_path / "copy"
    assert exports.freeze().identity == first.identity
    assert exports.freeze().path != first.path


@pytest.mark.parametrize(
    "change",
    [
        lambda e: e.file("runs.csv", RUNS.replace("90", "91")),
        lambda e: e.plant('zone = "Europe/Lisbon"\n'),
        lambda e: e.file("parts.csv", PARTS),
    ],
    ids=["a cell", "the zone", "another file"],
)
def test_other_input_is_another_freeze(exports, change):
    exports.file("runs.csv", RUNS)
    first = exports.freeze().identity
    change(exports)
    assert exports.freeze().identity != first


def test_settings_that_do_not_touch_intake_leave_the_identity(exports):
    exports.file("runs.csv", RUNS)
    first = exports.freeze().identity
    exports.plant('zone = "Europe/Berlin"\nsmall_group = 9\n')
    assert exports.freeze().identity == first


def test_the_manifest_says_all(exports):
    exports.file("runs.csv", RUNS + "r3,M1,007,yesterday,,\n")
    freeze = exports.freeze()
    manifest = read_manifest(freeze.path)
    assert manifest == freeze.manifest
    assert json.loads((freeze.path / "manifest.json").read_text())["identity"] == freeze.identity
    assert [file.name for file in manifest.files] == ["runs.csv"]
    assert len(manifest.files[0].sha256) == 64
    assert manifest.tables["runs"].rows == 2
    assert manifest.tables["runs"].columns == [
        "end_at",
        "good",
        "machine_id",
        "part_no",
        "run_id",
        "start_at",
    ]
    assert manifest.rows_refused == 1
    assert exports.counts(freeze) == (3, 2, 1, 0)
    assert manifest.extracts[0].lines == 4


def test_the_digest_does_not_depend_on_the_order_of_rows(exports):
    exports.file("runs.csv", RUNS)
    first = exports.freeze().manifest.tables["runs"].digest
    head, one, two = RUNS.splitlines()
    exports.file("runs.csv", f"{head}\n{two}\n{one}\n")
    assert exports.freeze().manifest.tables["runs"].digest == first
    exports.file("runs.csv", RUNS.replace("007", "008"))
    assert exports.freeze().manifest.tables["runs"].digest != first


def test_rows_are_sorted_by_key_and_lead_to_their_line(exports):
    head, one, two = RUNS.splitlines()
    exports.file("runs.csv", f"{head}\n{two}\n{one}\n")
    assert exports.query("select row_ix, run_id, extract_id, source_row from runs order by 1") == [
        (0, "r1", "runs.csv", 3),
        (1, "r2", "runs.csv", 2),
    ]


def test_every_file_is_an_extract_with_its_counts(exports):
    exports.plant('zone = "Europe/Berlin"\nperiod_from = 2026-01-01\nperiod_to = 2026-01-31\n')
    exports.file("runs.csv", RUNS)
    assert exports.query(
        "select extract_id, file_name, rows_read, rows_loaded, period_to::varchar, zone "
        "from extracts"
    ) == [("runs.csv", "runs.csv", 2, 2, "2026-01-31", "Europe/Berlin")]


def test_given_extracts_and_clocks_correct_the_time(exports):
    exports.file(
        "runs.csv", RUNS.replace("good\n", "good,extract_id\n").replace("0\nr2", "0,log\nr2")
    )
    exports.file(
        "extracts.csv",
        "extract_id,file_name,sha256,zone,clock_id,rows_read,rows_loaded,rows_refused,rows_duplicate\n"
        "log,log.db,00,Europe/Berlin,fast,2,2,0,0\n",
    )
    exports.file(
        "clocks.csv",
        "clock_id,valid_from,offset_s,method\nfast,2026-01-01 00:00,660,two shared events\n",
    )
    text = (exports.folder / "runs.csv").read_text().replace("22:00,90", "22:00,90,")
    exports.file("runs.csv", text)
    rows = exports.query("select run_id, local_time(start_at)::varchar from runs order by 1")
    assert rows == [("r1", "2026-01-05 05:49:00"), ("r2", "2026-01-05 14:00:00")]
    ids = exports.query("select extract_id from extracts order by 1")
    assert ids == [("clocks.csv",), ("extracts.csv",), ("log",), ("runs.csv",)]


def test_another_home_for_the_freezes(exports, tmp_path):
    exports.file("runs.csv", RUNS)
    freeze = exports.freeze(tmp_path / "elsewhere")
    assert freeze.path == tmp_path / "elsewhere" / freeze.identity
    assert not (exports.folder / ".witnessmark").exists()
    assert sorted(path.name for path in (tmp_path / "elsewhere").iterdir()) == [freeze.identity]


def test_neighbours_of_the_plant_become_a_table(exports):
    exports.plant('zone = "Europe/Berlin"\nneighbours = [["A", "B"]]\n')
    exports.file("runs.csv", RUNS)
    assert exports.query("select area, neighbour from area_neighbours") == [("A", "B")]


def test_a_changed_byte_is_noticed(exports):
    exports.file("runs.csv", RUNS)
    freeze = exports.freeze()
    path = freeze.path / "runs.parquet"
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)
    with pytest.raises(UnusableInputError, match=r"runs.parquet: .*changed after it was written"):
        open_freeze(freeze.path)
    assert exports.query("select count(*) from runs", exports.freeze()) == [(2,)]


def test_a_missing_file_is_noticed(exports):
    exports.file("runs.csv", RUNS)
    freeze = exports.freeze()
    (freeze.path / "runs.parquet").unlink()
    with pytest.raises(UnusableInputError, match=r"runs.parquet: .*missing"):
        open_freeze(freeze.path)


def test_a_folder_without_a_manifest_is_no_freeze(tmp_path):
    with pytest.raises(UnusableInputError, match="this is no freeze"):
        open_freeze(tmp_path)


def test_an_open_freeze_reaches_nothing_else(exports, tmp_path):
    exports.file("runs.csv", RUNS)
    outside = tmp_path / "secret.csv"
    outside.write_text("a\n1\n", encoding="utf-8")
    store = open_freeze(exports.freeze().path, cache=tmp_path / "cache")
    assert store.has("runs", "good")
    assert not store.has("runs", "scrap")
    assert not store.has("checks")
    with pytest.raises(duckdb.PermissionException):
        store.con.execute(f"select * from read_csv('{outside}')")
    store.con.execute(f"copy (select 1 as a) to '{tmp_path / 'cache'}/x.parquet' (format parquet)")
    assert (tmp_path / "cache" / "x.parquet").exists()
    store.con.close()


def test_nothing_is_left_behind_when_a_load_stops(exports):
    exports.file("runs.csv", "run_id\nr1\n")
    with pytest.raises(UnusableInputError):
        exports.freeze()
    home = exports.folder / ".witnessmark"
    assert not home.exists() or list(home.iterdir()) == []

"""Whatever comes in: a clear refusal or rows that add up; never a traceback, never a lost row."""

import tomllib
from contextlib import contextmanager
from datetime import datetime
from functools import cache
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from witnessmark.errors import UnusableInputError
from witnessmark.records.dates import date_sql, prove_order, serial_sql
from witnessmark.records.freeze import freeze_folder
from witnessmark.records.mapping_file import load_mapping
from witnessmark.records.numbers import NumberForm, number_sql, prove_marks, read_number
from witnessmark.records.plant import Plant, load_plant
from witnessmark.records.propose import propose
from witnessmark.records.read_csv import read_csv
from witnessmark.records.read_workbook import read_workbook
from witnessmark.records.store import connect
from witnessmark.records.tolerance import tolerance_sql

few = settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
many = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
NUMBERS = count()


@contextmanager
def refusal_of(name):
    """A refusal is fine, if it names the file; anything else that is raised is not."""
    try:
        yield
    except UnusableInputError as error:
        if not str(error).startswith(name):
            raise


@cache
def con():
    return connect()


@pytest.fixture(scope="module")
def folder():
    with TemporaryDirectory() as path:
        yield Path(path)


WRITTEN = st.one_of(
    st.sampled_from(
        [
            "",
            " ",
            "r1",
            "M1",
            "P1",
            "0042",
            "2026-01-05 06:00",
            "2026-03-29 02:30",
            "2026-10-25 02:30",
            "2026-10-25T02:30+02:00",
            "9999-12-31 23:59",
            "0001-01-01",
            "-5",
            "10,000",
            "1e5",
            "NaN",
            "null",
            "#REF!",
            "=1+1",
            '"',
            '"a"b',
            "'; drop table runs; --",
            "\N{ZERO WIDTH SPACE}",
        ]
    ),
    st.text(max_size=12),
)
CSV_BYTES = st.one_of(
    st.binary(max_size=200),
    st.lists(
        st.sampled_from(
            [b"a", b"1", b";", b",", b'"', b"\n", b"\r\n", b"\xe4", b"\xc3\xa4", b"\t"]
        ),
        max_size=60,
    ).map(b"".join),
)


@many
@given(content=CSV_BYTES)
def test_any_bytes_as_text_file(folder, content):
    path = folder / "x.csv"
    path.write_bytes(content)
    for bulk_bytes in (0, 10**9):
        with refusal_of("x.csv"):
            raw = read_csv(con(), path, "x.csv", f"raw_{next(NUMBERS)}", bulk_bytes=bulk_bytes)
            assert raw.lines == raw.rows + sum(raw.skipped.values())
            rows = con().execute(f"select count(*) from {raw.relation}").fetchone()
            assert rows == (raw.rows,)


@few
@given(
    rows=st.lists(st.lists(WRITTEN, min_size=6, max_size=6), max_size=12),
    ends=st.sampled_from(["\n", "\r\n"]),
)
def test_any_cells_in_a_canonical_file(rows, ends):
    with TemporaryDirectory() as path:
        folder = Path(path)
        (folder / "plant.toml").write_text('zone = "Europe/Berlin"\n', encoding="utf-8")
        lines = ["run_id,machine_id,part_no,start_at,end_at,good", *(",".join(row) for row in rows)]
        (folder / "runs.csv").write_bytes(ends.join(lines).encode("utf-8", "replace"))
        with refusal_of("runs.csv"):
            extract = freeze_folder(folder).manifest.extracts[0]
            assert extract.lines == extract.rows_read + sum(extract.skipped.values())
            assert extract.rows_read == (
                extract.rows_loaded + extract.rows_refused + extract.rows_duplicate
            )


MAPPING = """[[source]]
file = "x.csv"
delimiter = ";"
[[source.feed]]
table = "runs"
only_where = { a = { is_not = ["stop"] } }
[source.feed.columns]
run_id = ["a", "<row>"]
machine_id = { from = "b", pattern = "[A-Z]\\\\d" , no_match = "keep" }
part_no = { from = "c", values = { P1 = "p1", r1 = "" }, other = "keep" }
start_at = ["d", "e"]
good = { from = "f", times = 1000 }
[[source.feed]]
table = "measurements"
[source.feed.columns]
check_id = "<row>"
line = "<heading>"
piece_no = "<entry>"
value = "<cell>"
[source.feed.unpivot]
columns = ["e", "f"]
split = "/"
"""


@few
@given(rows=st.lists(st.lists(WRITTEN, min_size=6, max_size=6), max_size=12))
def test_any_cells_through_a_mapping(rows):
    with TemporaryDirectory() as path:
        folder = Path(path)
        (folder / "plant.toml").write_text('zone = "Europe/Berlin"\n', encoding="utf-8")
        (folder / "mapping.toml").write_text(MAPPING, encoding="utf-8")
        text = "\n".join(["a;b;c;d;e;f", *(";".join(row) for row in rows)])
        (folder / "x.csv").write_bytes(text.encode("utf-8", "replace"))
        with refusal_of("x.csv"):
            extract = freeze_folder(folder).manifest.extracts[0]
            assert extract.rows_read == (
                extract.rows_loaded + extract.rows_refused + extract.rows_duplicate
            )
            for entry in extract.entries.values():
                assert entry["made"] == entry["loaded"] + entry["refused"] + entry["duplicate"]


LIKE_VALUES = st.one_of(
    st.text(max_size=20),
    st.text(alphabet="0123456789.,:-/+ ±'T", max_size=20),
    st.from_regex(r"\A\d{1,4}[./-]\d{1,2}[./-]\d{1,4}( \d{1,2}:\d{2})?\Z"),
)


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(texts=st.lists(LIKE_VALUES, min_size=1, max_size=80))
def test_any_text_as_date_number_or_tolerance(texts):
    values = [text.replace("\x00", "") for text in texts]
    con().execute("create or replace temp table cells (v varchar)")
    con().executemany("insert into cells values (?)", [[value] for value in values])
    dates = ", ".join(
        date_sql("v", form) for form in ("DD.MM.YYYY", "YY-MM-DD", "YYYYMMDD HHMM", "DD Mon YYYY")
    )
    for row in con().execute(f"select {dates} from cells").fetchall():
        for found in row:
            assert found is None or datetime.fromisoformat(found[:16])
    for form in (NumberForm(",", "."), NumberForm(".", ",")):
        found = con().execute(f"select v, {number_sql('v', form)} from cells").fetchall()
        for text, number in found:
            value = read_number(text, form)
            assert (number is None) == (value is None)
            assert number is None or float(number) == pytest.approx(float(value))
    parts = ", ".join(tolerance_sql("v", part) for part in ("nominal", "lower", "upper"))
    serial = f"{serial_sql('v', 1900)}, {serial_sql('v', 1904)}"
    con().execute(f"select {parts}, {serial} from cells").fetchall()
    assert prove_order(list(enumerate(values))).forms is not None
    proof = prove_marks(list(enumerate(values)))
    assert (proof.form is None) == bool(proof.open_rows)


TOML_VALUES = st.recursive(
    st.one_of(
        st.none(), st.booleans(), st.integers(0, 9), st.sampled_from(["x", "DD.MM.YYYY", ","])
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(
            st.sampled_from(["source", "feed", "file", "table", "columns", "from", "run_id", "x"]),
            inner,
            max_size=4,
        ),
    ),
    max_leaves=12,
)


def _toml(value):
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return '""'
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_toml(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(item) for item in value) + "]"
    return f'"{value}"' if isinstance(value, str) else str(value)


@many
@given(source=TOML_VALUES, extra=TOML_VALUES)
def test_any_settings(folder, source, extra):
    path = folder / "mapping.toml"
    path.write_text(f"source = {_toml(source)}\nignore = {_toml(extra)}\n", encoding="utf-8")
    with refusal_of("mapping.toml"):
        assert load_mapping(path, Plant(zone="UTC")).source
    (folder / "plant.toml").write_text(f"zone = {_toml(source)}\n", encoding="utf-8")
    with refusal_of("plant.toml"):
        assert load_plant(folder).zone_info


@many
@given(content=CSV_BYTES)
def test_any_bytes_to_a_draft(folder, content):
    path = folder / "x.csv"
    path.write_bytes(content)
    with refusal_of("x.csv"):
        assert tomllib.loads(propose(path))["source"][0]["file"] == "x.csv"


@pytest.fixture(scope="module")
def workbook_bytes(folder):
    workbook = Workbook()
    workbook.active.title = "S"
    for row in (["a", "b"], ["x", 1], ["=1/0", 2.5]):
        workbook.active.append(row)
    workbook.save(folder / "good.xlsx")
    return (folder / "good.xlsx").read_bytes()


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(place=st.integers(0, 10**6), change=st.integers(1, 255), cut=st.booleans())
def test_a_workbook_with_a_changed_byte(folder, workbook_bytes, place, change, cut):
    content = bytearray(workbook_bytes)
    content[place % len(content)] ^= change
    path = folder / "x.xlsx"
    path.write_bytes(content[: place % len(content)] if cut else content)
    with refusal_of("x.xlsx"):
        raw = read_workbook(con(), path, "x.xlsx", "S", f"raw_{next(NUMBERS)}")
        assert raw.lines == raw.rows + sum(raw.skipped.values())

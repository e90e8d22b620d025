"""A draft mapping: valid TOML, with reasons, open about what it could not decide."""

import datetime as dt
import tomllib
from functools import partial

import duckdb
import pytest
from openpyxl import Workbook

from witnessmark.errors import UnusableInputError
from witnessmark.records.looks import look_at
from witnessmark.records.propose import propose

moment = partial(dt.datetime, tzinfo=None)
LIST = """Rückmeldungen;;;;;;
Werk 1;;;;;;
Auftrag;Arbeitsplatz;Bezeichnung;Beginn Datum;Beginn Zeit;Gutmenge;Personal-Nr.
F1;M1;Welle;03.02.2026;06:00;10,000;0815
F2;M1;Bolzen;25.02.2026;06:30;0,000;4711
Seite 2;;;;;;
Auftrag;Arbeitsplatz;Bezeichnung;Beginn Datum;Beginn Zeit;Gutmenge;Personal-Nr.
F3;M2;Welle;26.02.2026;07:00;5,000;0815
Summe;;;;;15,000;
"""


def draft(path, content, encoding="utf-8"):
    path.write_bytes(content if isinstance(content, bytes) else content.encode(encoding))
    text = propose(path)
    return text, tomllib.loads(text)


def test_a_print_list(tmp_path):
    text, data = draft(tmp_path / "x.csv", LIST, "cp1252")
    source = data["source"][0]
    assert source["encoding"] == "cp1252"
    assert source["delimiter"] == ";"
    assert source["header_row"] == 3
    assert source["dates"] == "DD.MM.YYYY"
    assert source["decimal"] == ","
    assert {rule["matches"] for rule in source["skip_rows_where"]} == {r"Seite \d+$", "Summe$"}
    feed = source["feed"][0]
    assert feed["table"] == "runs"
    assert feed["columns"] == {
        "machine_id": "Arbeitsplatz",
        "part_no": "Bezeichnung",
        "order_no": "Auftrag",
        "start_at": ["Beginn Datum", "Beginn Zeit"],
        "good": "Gutmenge",
    }
    assert "NOT DECIDED: run_id is needed" in text
    assert 'row 5 "25.02.2026" proves that it is not MM/DD/YYYY' in text
    assert "The header comes again 1 times" in text


def test_a_draft_shows_no_person(tmp_path):
    text, _ = draft(tmp_path / "x.csv", LIST.replace("0815", "Ada Stone"))
    assert "Personal-Nr.: " in text
    assert "may name persons" in text
    assert "Ada" not in text


def test_a_finished_draft_loads(exports):
    exports.file("x.csv", LIST, "cp1252")
    text = propose(exports.folder / "x.csv").replace("# run_id =", "run_id =")
    exports.mapping(text)
    assert exports.counts() == (3, 3, 0, 0)
    assert exports.query("select good from runs order by source_row") == [(10,), (0,), (5,)]


def test_what_the_cells_leave_open_is_said_with_its_rows(tmp_path):
    text, data = draft(
        tmp_path / "x.csv", 'Maschine,Datum,Menge\nM1,03.02.2026,"10,000"\nM2,04.02.2026,5\n'
    )
    assert "dates" not in data["source"][0]
    assert "decimal" not in data["source"][0]
    assert (
        "NOT DECIDED: Datum: the date order may be DD.MM.YYYY or MM/DD/YYYY; no row proves it: "
        'row 2 "03.02.2026"' in text
    )
    assert "NOT DECIDED: Menge: the decimal mark cannot be told" in text
    assert 'row 2 "10,000"' in text


def test_words_are_listed_for_the_user_to_map(tmp_path):
    rows = "".join(f"{n};M1;P1;{'i.O.' if n % 3 else 'n.i.O.'};Umlauf\n" for n in range(1, 10))
    text, data = draft(tmp_path / "x.csv", "Prüf Nr;Maschine;Teil;Ergebnis;Prüfart\n" + rows)
    columns = data["source"][0]["feed"][0]["columns"]
    assert data["source"][0]["feed"][0]["table"] == "checks"
    assert columns["result"] == {"from": "Ergebnis", "values": {"i.O.": "", "n.i.O.": ""}}
    assert "NOT DECIDED: which of pass, fail, incomplete each word is" in text


def test_a_workbook_with_several_sheets(tmp_path):
    workbook = Workbook()
    sheet = workbook.create_sheet("März")
    sheet.append(["Machine", "Start", "End", "State"])
    for hour in range(6, 12):
        sheet.append(["M1", moment(2026, 3, 2, hour), moment(2026, 3, 2, hour, 50), "running"])
    workbook.save(tmp_path / "x.xlsx")
    text = propose(tmp_path / "x.xlsx")
    source = tomllib.loads(text)["source"][0]
    assert source["sheet"] == "März"
    assert source["feed"][0]["table"] == "machine_states"
    assert source["feed"][0]["columns"]["start_at"] == "Start"
    assert "# Sheets: Sheet, März" in text


def test_a_parquet_file(tmp_path):
    path = tmp_path / "x.parquet"
    duckdb.sql("select 'M1' as machine, timestamp '2026-03-02 06:00' as start").write_parquet(
        str(path)
    )
    assert tomllib.loads(propose(path))["source"][0]["file"] == "x.parquet"


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("x.csv", b"", "the file is empty"),
        ("x.xlsx", b"a;b", "cannot be opened as a workbook"),
        ("x.doc", b"a;b", "there is no reader"),
        ("x.csv", b"1;2\n3;4\n", "looks like a header"),
    ],
)
def test_what_is_no_export(tmp_path, name, content, said):
    (tmp_path / name).write_bytes(content)
    with pytest.raises(UnusableInputError, match=said):
        propose(tmp_path / name)


def test_no_such_file(tmp_path):
    with pytest.raises(UnusableInputError, match="there is no such file"):
        propose(tmp_path / "x.csv")


@pytest.mark.parametrize(
    ("cells", "kind"),
    [
        (["29.01.2026", "30.01.2026"], "date"),
        (["29.01.2026 06:00", "30.01.2026 07:00"], "date and time"),
        (["06:00", "7:30"], "time"),
        (["0042", "4711"], "id"),
        (["1,5", "2,25"], "number"),
        (["45000", "45001.5"], "serial"),
        (["a", "a", "b", "b", "a"], "words"),
        (["x1", "x2", "x3"], "id"),
        ([], "blank"),
    ],
)
def test_what_a_column_looks_like(cells, kind):
    assert look_at("h", list(enumerate(cells, 2))).kind == kind

"""The example mapping on a small list of our own with the same defects as the real one."""

from pathlib import Path

import pytest

EXAMPLE = Path(__file__).parents[2] / "examples" / "machine_shop_log"
HEAD = (
    "Auftrag;Arbeitsgang;Arbeitsplatz;Beginn Datum;Beginn Zeit;Ende Datum;Ende Zeit;Dauer (Std.);"
    "Auftragsmenge;Bezeichnung;Personal-Nr.;Meldeart;Gutmenge;Ausschuss;Prüfung offen;Nacharb."
)
LIST = f"""BDE-Rückmeldungen;;;;;;;;;;;;;;;
Werk: 0009 – Muster;;;Zeitraum: 02.01.2012 - 31.03.2012;;;;;;;;;;;;
erstellt am: 02.04.2012 07:15;;;;;;;;;;;;;;;

{HEAD}
A-1;Dreh;Platz 1;29.01.2012;23:24;30.01.2012;05:43;6,32;10,000;Bolzen;0932;Rüsten;1,000;0,000;;
A-1;Dreh;Platz 1;30.01.2012;05:44;30.01.2012;06:42;0,97;10,000;Bolzen;0932;Fertigung;8,000;1,000;;
A-2;Dreh;Platz 1;30.01.2012;05:50;30.01.2012;06:10;0,33;5,000;Nut;417;Fertigung;4,000;0,000;1,000;ja

Seite 2;;;;;;;;;;;;;;;
{HEAD}
A-2;Prüfen;Prüfplatz;30.01.2012;21:00;31.01.2012;00:00;3,00;5,000;Nut;4167;Fertigung;1.004,000;0,000;;
A-3;Packen;Packen;31.01.2012;00:00;31.01.2012;01:15;0,00;5,000;Nut;4820;Fertigung;4,000;0,000;;
A-3;Packen;Packen;31.01.2012;00:00;31.01.2012;01:15;0,00;5,000;Nut;4820;Fertigung;4,000;0,000;;
A-3;Dreh;Platz 1;31.01.2012;08:00;31.01.2012;08:30;0,50;5,000;Nut;4820;Störung;0,000;0,000;;
Summe;;;;;;;11,12;;;;;1.025,000;1,000;1,000;
*** Ende der Liste ***;;;;;;;;;;;;;;;
"""


@pytest.fixture
def shop(exports):
    for name in ("mapping.toml", "plant.toml"):
        exports.file(name, (EXAMPLE / name).read_bytes())
    exports.file("feedback_export_small.csv", LIST.replace("\n", "\r\n"), "cp1252")
    return exports


def test_every_row_is_loaded_and_the_printed_totals_are_met(shop):
    freeze = shop.freeze()
    extract = freeze.manifest.extracts[0]
    assert shop.counts(freeze) == (7, 7, 0, 0)
    assert extract.lines == 17
    assert extract.skipped == {
        "preamble": 4,
        "header": 1,
        "blank": 1,
        "page line": 1,
        "repeated header": 1,
        "total": 1,
        "trailer": 1,
    }
    assert {(c.what, c.stated, c.found) for c in extract.controls if "Dauer" not in c.what} == {
        ("sum of Gutmenge", "1025", "1025"),
        ("sum of Ausschuss", "1", "1"),
        ("sum of Prüfung offen", "1", "1"),
    }
    assert all(control.agrees for control in extract.controls)


def test_what_becomes_of_the_rows(shop):
    assert shop.query(
        "select run_id, machine_id, good, scrap, strftime(end_at, '%d %H:%M'), start_at_quality "
        "from runs order by source_row"
    ) == [
        ("A-1/7", "Platz 1", 8, 1, "30 06:42", "min"),
        ("A-2/8", "Platz 1", 4, 0, "30 06:10", "min"),
        ("A-2/12", "Prüfplatz", 1004, 0, "31 00:00", "min"),
        ("A-3/13", "Packen", 4, 0, "31 00:00", "day"),
        ("A-3/14", "Packen", 4, 0, "31 00:00", "day"),
    ]
    assert shop.query("select setup_id, to_part, setter from setups") == [
        ("A-1/6", "Bolzen", "place 1 of Platz 1")
    ]
    assert shop.query("select stop_id, planned from stoppages") == [("A-3/15", False)]
    assert shop.query("select hold_id, qty from holds") == [("A-2/8", 1)]
    assert shop.freeze().manifest.extracts[0].entries["runs"]["overlapping, kept"] == 1


def test_no_personnel_number_enters(shop):
    shop.file(
        "feedback_export_small.csv", LIST.replace("31.01.2012;08:30", "32.01.2012;08:30"), "cp1252"
    )
    freeze = shop.freeze()
    assert freeze.manifest.rows_refused == 1
    for path in freeze.path.rglob("*"):
        assert not path.is_file() or b"4820" not in path.read_bytes()

"""Dates as plants write them: formats, 24:00, serial dates, and what a column proves."""

import re

import pytest

from witnessmark.records.dates import date_form, date_sql, prove_order, serial_sql
from witnessmark.records.store import connection


@pytest.fixture(scope="module")
def con():
    with connection() as opened:
        yield opened


def read(con, text, sql):
    return con.execute(f"select {sql} from (select ?::varchar as v)", [text]).fetchone()[0]


@pytest.mark.parametrize(
    ("written", "text", "expected"),
    [
        ("DD.MM.YYYY", "29.01.2012 23:24", "2012-01-29 23:24"),
        ("DD.MM.YYYY", "1.2.2012", "2012-02-01"),
        ("DD.MM.YYYY", "31.12.2011 24:00", "2012-01-01 00:00"),
        ("DD.MM.YYYY", "28.02.2012 24:00:00", "2012-02-29 00:00"),
        ("DD.MM.YYYY", "31.12.2011 24:01", None),
        ("DD.MM.YYYY", "30.02.2012", None),
        ("DD.MM.YYYY", "29.01.2012 25:00", None),
        ("DD.MM.YYYY", "29.01.2012 7:05 pm", "2012-01-29 19:05"),
        ("DD.MM.YYYY", "29.01.2012 12:05 am", "2012-01-29 00:05"),
        ("DD.MM.YYYY", "29.01.2012 13:05 am", None),
        ("DD.MM.YYYY", "29.01.2012T07:00:09", "2012-01-29 07:00:09"),
        ("DD.MM.YYYY", "29.01.2012 07.00", "2012-01-29 07:00"),
        ("DD.MM.YYYY", "29-01-2012", "2012-01-29"),
        ("DD.MM.YYYY", "2012-01-29 07:00", "2012-01-29 07:00"),
        ("DD.MM.YYYY", "asap", None),
        ("DD.MM.YYYY", None, None),
        ("DD.MM.YY", "29.01.12", "2012-01-29"),
        ("DD.MM.YY", "29.01.85", "1985-01-29"),
        ("DD.MM.YY", "29.01.2012", None),
        ("MM/DD/YYYY", "01/29/2012", "2012-01-29"),
        ("MM/DD/YYYY HH:MM AM", "01/29/2012 7:05 PM", "2012-01-29 19:05"),
        ("MM/DD/YYYY HH:MM AM", "01/29/2012 7:05", None),
        ("YYYYMMDD", "20120129", "2012-01-29"),
        ("YYYYMMDD HHMM", "20120129 0715", "2012-01-29 07:15"),
        ("YYYYMMDD HHMM", "20121329 0715", None),
        ("DD-Mon-YYYY", "29-Mär-2026", "2026-03-29"),
        ("DD-Mon-YYYY", "3-Dez-2026 07:00", "2026-12-03 07:00"),
        ("DD Mon YYYY", "29 March 2026", "2026-03-29"),
        ("DD-Mon-YYYY", "3-Foo-2026", None),
    ],
)
def test_formats(con, written, text, expected):
    assert read(con, text, date_sql("v", written)) == expected


@pytest.mark.parametrize("written", ["DD.MM", "YYYY-MM", "DD.MM.YYYY DD", "", "day"])
def test_a_format_names_day_month_and_year_once(written):
    with pytest.raises(ValueError, match=f"^{re.escape(written)}$"):
        date_form(written)


# Serial 60 of the 1900 epoch is 29 February 1900, which never was; serial 1 of the 1904 epoch is
# 2 January 1904. Source: ECMA-376 part 1, 18.17.4.1 (memory).
@pytest.mark.parametrize(
    ("number", "epoch", "expected"),
    [
        ("1", 1900, "1900-01-01"),
        ("59", 1900, "1900-02-28"),
        ("60", 1900, None),
        ("61", 1900, "1900-03-01"),
        ("45000", 1900, "2023-03-15"),
        ("45000.5", 1900, "2023-03-15 12:00"),
        ("45000.0000116", 1900, "2023-03-15 00:00:01"),
        ("45000.99999999", 1900, "2023-03-16"),
        ("1", 1904, "1904-01-02"),
        ("43538", 1904, "2023-03-15"),
        ("-3", 1900, None),
        ("9999999", 1900, None),
        ("x", 1900, None),
    ],
)
def test_serial_dates(con, number, epoch, expected):
    found = read(con, number, serial_sql("v", epoch))
    assert (found or "").removesuffix(" 00:00") == (expected or "")


@pytest.mark.parametrize(
    ("texts", "form"),
    [
        (["03.04.2026", "25.04.2026"], "DD.MM.YYYY"),
        (["03/04/2026", "04/25/2026"], "MM/DD/YYYY"),
        (["2026-04-03"], "YYYY-MM-DD"),
        (["04.04.2026"], "DD.MM.YYYY"),
        (["25.04.26", "03.04.26"], "DD.MM.YY"),
        (["32.04.2026", "25.04.2026", "x"], "DD.MM.YYYY"),
    ],
)
def test_an_order_that_is_proved(texts, form):
    proof = prove_order(list(enumerate(texts, 2)))
    assert proof.forms == (form,)
    assert proof.open_rows == ()


def test_the_proof_names_its_witness():
    proof = prove_order([(2, "03.04.2026"), (7, "25.04.2026")])
    assert proof.witnesses["MM/DD/YYYY"] == (7, "25.04.2026")


@pytest.mark.parametrize(
    "texts", [["03.04.2026", "05.06.2026"], ["03.04.26"], ["25-04-26"], ["01/02/2026"]]
)
def test_an_order_that_is_open_shows_its_rows(texts):
    proof = prove_order(list(enumerate(texts, 2)))
    assert len(proof.forms) > 1
    assert proof.open_rows[0] == (2, texts[0])


def test_orders_that_contradict_each_other():
    proof = prove_order([(2, "25.04.2026"), (3, "04/25/2026")])
    assert proof.forms == ()
    assert proof.open_rows == ()
    assert (3, "04/25/2026") in proof.witnesses.values()


def test_no_dates_prove_nothing():
    assert prove_order([]).forms == ()
    assert prove_order([(2, "soon")]).forms == ()

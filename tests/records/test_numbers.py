"""Numbers as plants write them: marks, units, durations, tolerance text, and what they prove."""

from decimal import Decimal

import pytest

from witnessmark.records.numbers import (
    NumberForm,
    clock_seconds_sql,
    factor,
    number_sql,
    prove_marks,
    read_number,
    scaled_sql,
)
from witnessmark.records.store import connection
from witnessmark.records.tolerance import is_tolerance_sql, tolerance_sql

GERMAN, ENGLISH = NumberForm(",", "."), NumberForm(".", ",")


@pytest.fixture(scope="module")
def con():
    with connection() as opened:
        yield opened


def read(con, text, sql):
    return con.execute(f"select {sql} from (select ?::varchar as v)", [text]).fetchone()[0]


@pytest.mark.parametrize(
    ("text", "form", "expected"),
    [
        ("10,000", GERMAN, "10.000"),
        ("10,000", ENGLISH, "10000"),
        ("1.234,5", GERMAN, "1234.5"),
        ("1.234.567", GERMAN, "1234567"),
        ("1,234.5", ENGLISH, "1234.5"),
        ("0.123", GERMAN, None),
        ("1.23,4", GERMAN, None),
        ("1.2345", GERMAN, None),
        ("5-", GERMAN, "-5"),
        ("-3,2", GERMAN, "-3.2"),
        ("+3", GERMAN, "+3"),
        (",5", GERMAN, ".5"),
        ("1 234,5", NumberForm(",", " "), "1234.5"),
        ("1'234.5", NumberForm(".", "'"), "1234.5"),
        ("1,234", NumberForm("."), None),
        ("", ENGLISH, None),
        ("12 mm", ENGLISH, None),
        ("1.2E+12", ENGLISH, None),
        (None, ENGLISH, None),
    ],
)
def test_numbers(con, text, form, expected):
    assert read(con, text, number_sql("v", form)) == expected
    value = read_number(text, form) if text is not None else None
    assert value == (Decimal(expected) if expected is not None else None)


@pytest.mark.parametrize(
    ("text", "unit", "seconds"),
    [
        ("1:30", "h:mm", 5400),
        ("25:00", "h:mm", 90000),
        ("1:30", "mm:ss", 90),
        ("0:05:30", "h:mm:ss", 330),
        ("1:75", "h:mm", None),
        ("1.5", "h:mm", None),
    ],
)
def test_durations(con, text, unit, seconds):
    assert read(con, text, clock_seconds_sql("v", unit)) == seconds


@pytest.mark.parametrize(
    ("unit", "canonical", "ratio"),
    [
        ("h", "min", 60),
        ("s", "min", Decimal(1) / 60),
        ("kg", "g", 1000),
        ("thousand", "pieces", 1000),
        ("%", "share", Decimal("0.01")),
        ("min", "s/piece", 60),
        ("cm", "m", Decimal("0.01")),
        ("pieces", "pieces", 1),
    ],
)
def test_factors(unit, canonical, ratio):
    times, by = factor(unit, canonical)
    assert times / by == ratio


def test_units_that_do_not_fit():
    assert factor("kg", "min") is None
    assert factor("furlong", "m") is None
    assert factor("h", "") is None


@pytest.mark.parametrize(
    ("text", "times", "by", "expected"),
    [
        ("10.000", 1, 1, "10"),
        ("1.5", 60, 1, "90"),
        ("10", 1, 60, "0.166667"),
        ("100", 1, 1, "100"),
        ("-0.5", 1000, 1, "-500"),
        ("1e5x", 1, 1, None),
    ],
)
def test_scaling(con, text, times, by, expected):
    assert read(con, text, scaled_sql("v", Decimal(times), Decimal(by))) == expected


@pytest.mark.parametrize(
    ("text", "nominal", "lower", "upper"),
    [
        ("12.70 ±0.05", "12.7", "12.65", "12.75"),
        ("12.70±0.05", "12.7", "12.65", "12.75"),
        ("12.7 +/-0.05", "12.7", "12.65", "12.75"),
        ("12.7 +0.1/-0.05", "12.7", "12.65", "12.8"),
        ("12.7 -0.05/+0.1", "12.7", "12.65", "12.8"),
        ("10 +0.1 -0.2", "10", "9.8", "10.1"),
        ("10 +0.1/0", "10", "10", "10.1"),
        ("10 0/-0.2", "10", "9.8", "10"),
        ("10 +0.3/+0.1", "10", "10.1", "10.3"),
        ("12.65 - 12.75", None, "12.65", "12.75"),
        ("12.65…12.75", None, "12.65", "12.75"),
        ("max. 0.8", None, None, "0.8"),
        ("≤0.8", None, None, "0.8"),
        ("min 3", None, "3", None),
        ("-5 ±1", "-5", "-6", "-4"),
        ("12.7", "12.7", None, None),
    ],
)
def test_tolerance_text(con, text, nominal, lower, upper):
    parts = [read(con, text, tolerance_sql("v", part)) for part in ("nominal", "lower", "upper")]
    assert parts == [nominal, lower, upper]
    assert read(con, text, is_tolerance_sql("v")) is True


@pytest.mark.parametrize("text", ["", "about 5", "5 mm ±1", "±0.05"])
def test_what_is_no_tolerance(con, text):
    assert read(con, text, is_tolerance_sql("v")) is False
    assert read(con, text, tolerance_sql("v", "lower")) is None


@pytest.mark.parametrize(
    ("texts", "decimal"),
    [
        (["10,000", "6,32"], ","),
        (["10,000", "0,000"], ","),
        (["10,000", "1,234,567"], "."),
        (["10,000", "10.5"], "."),
        (["1 234,5"], ","),
        (["10", "7"], "."),
        (["n/a"], "."),
    ],
)
def test_marks_that_are_proved(texts, decimal):
    proof = prove_marks(list(enumerate(texts, 2)))
    assert proof.form is not None
    assert proof.form.decimal == decimal


@pytest.mark.parametrize("texts", [["10,000"], ["1.234", "5"], ["10,000", "10.000"]])
def test_marks_that_are_open_show_their_rows(texts):
    proof = prove_marks(list(enumerate(texts, 2)))
    assert proof.form is None
    assert proof.open_rows[0] == (2, texts[0])


def test_marks_that_contradict_each_other():
    proof = prove_marks([(2, "6,32"), (3, "6.32"), (4, "7")])
    assert proof.contradictory
    assert proof.open_rows == ((2, "6,32"), (3, "6.32"))

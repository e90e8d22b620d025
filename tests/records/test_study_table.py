"""A file that somebody brings: nothing is guessed, nothing is left out without a word."""

from datetime import UTC, datetime, timedelta, timezone

import pytest

from witnessmark.errors import UnusableInputError
from witnessmark.records.study_table import read_study


@pytest.fixture
def study(tmp_path):
    """Reads a text as a file."""

    def read(text, name="study.csv", **options):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return read_study(path, **options)

    return read


def test_a_preamble_a_repeated_header_and_totals_are_no_data(study):
    found = study("Study of May\n\npart;x\nA;1,5\npart;x\nB;2,25\n\nSumme;3,75\n")
    assert found.numbers("x") == [1.5, 2.25]
    assert [row for row, _ in found.rows] == [4, 6]
    assert found.totals == 1


def test_a_heading_is_found_without_its_unit(study):
    found = study("No;Diameter [mm]\n1;1,5\n")
    assert found.numbers("diameter") == [1.5]
    with pytest.raises(UnusableInputError, match=r'no column "width"\. Expected "No", "Diameter'):
        found.numbers("width")


def test_one_column_with_a_decimal_comma_is_one_column(study):
    assert study("diameter\n10,01\n9,9\n-0,5\n").numbers("diameter") == [10.01, 9.9, -0.5]


def test_more_cells_than_headings_are_refused(study):
    with pytest.raises(UnusableInputError, match="row 3: more cells than the header has"):
        study("a;b\n1;2\n1;2;3\n")


def test_a_stated_decimal_mark_settles_what_the_cells_leave_open(study):
    text = "no;x\n1;1,234\n2;2,345\n"
    with pytest.raises(UnusableInputError, match='row 2, column "x": "1,234": nobody can tell'):
        study(text).numbers("x")
    assert study(text, decimal=",").numbers("x") == [1.234, 2.345]
    assert study(text, decimal=".").numbers("x") == [1234, 2345]


def test_every_bad_cell_is_named(study):
    found = study("no;x\n1;1,5\n2;\n3;#N/A\n4;2,5 mm\n")
    with pytest.raises(UnusableInputError) as refusal:
        found.numbers("x")
    rows = [fault.where.row for fault in refusal.value.faults]
    assert rows == [3, 4, 5]
    assert "take the row out of the file and say how many" in str(refusal.value)


def test_times_prove_their_order_or_are_refused(study):
    found = study("no;at\n1;13.04.2026 06:30\n2;03.05.2026\n3;\n")
    times = found.times("at", may_be_blank=True)
    assert times == [datetime(2026, 4, 13, 6, 30), datetime(2026, 5, 3), None]  # noqa: DTZ001 - wall-clock times, as the table holds them
    with pytest.raises(UnusableInputError, match='row 4, column "at": this cell is blank'):
        found.times("at")
    with pytest.raises(UnusableInputError, match=r"may be DD\.MM\.YYYY or MM/DD/YYYY"):
        study("no;at\n1;03.04.2026\n").times("at")
    settled = study("no;at\n1;03.04.2026\n", dates="DD.MM.YYYY").times("at")
    assert settled == [datetime(2026, 4, 3)]  # noqa: DTZ001 - wall-clock times, as the table holds them
    with pytest.raises(UnusableInputError, match="is no date format"):
        study("no;at\n1;03.04.2026\n", dates="day first").times("at")


def test_offsets_are_kept(study):
    found = study("no;at\n1;2026-10-25T02:30+02:00\n2;2026-10-25 01:30Z\n")
    zoned = datetime(2026, 10, 25, 2, 30, tzinfo=timezone(timedelta(hours=2)))
    assert found.times("at") == [zoned, datetime(2026, 10, 25, 1, 30, tzinfo=UTC)]


def test_only_some_rows(study):
    found = study("machine;x\nL1;1,5\nL2;2,5\nL1;3,5\n").only("machine", "L1")
    assert found.numbers("x") == [1.5, 3.5]
    assert [row for row, _ in found.rows] == [2, 4]


@pytest.mark.parametrize(
    ("text", "said"), [("a;b\n", "no row below the header"), ("1;2\n3;4\n", "looks like a header")]
)
def test_a_file_without_header_or_rows(study, text, said):
    with pytest.raises(UnusableInputError, match=said):
        study(text)

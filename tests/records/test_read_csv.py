"""Text files: encodings, delimiters, headers, quotes; every row of the file is accounted for."""

import random
import re
from functools import cache
from itertools import count

import pytest

from witnessmark.errors import UnusableInputError
from witnessmark.records.read_csv import CsvForm, read_csv
from witnessmark.records.rows import Layout, SkipRule
from witnessmark.records.store import connect
from witnessmark.records.text_file import delimiter_of, encoding_of

NUMBERS = count()


@cache
def shared_connection():
    return connect()


def read(path, content, layout=None, form=None, bulk_bytes=10**9):
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    con = shared_connection()
    raw = read_csv(con, path, path.name, f"raw_{next(NUMBERS)}", form, layout, bulk_bytes)
    rows = con.execute(f'select * from {raw.relation} order by "#row"').fetchall()
    assert raw.rows == len(rows)
    assert raw.lines == raw.rows + sum(raw.skipped.values())
    return raw, rows


@pytest.fixture
def path(tmp_path):
    return tmp_path / "x.csv"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le"])
def test_encodings_are_told_by_their_bytes(path, encoding):
    raw, rows = read(path, "Teil;Größe\r\n1;groß\r\n".encode(encoding))
    assert raw.headings == ("Teil", "Größe")
    assert rows == [(2, "1", "groß", None)]
    assert encoding_of(path, "x") == ("utf-16" if encoding == "utf-16" else encoding)


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_delimiters_are_told_by_their_regularity(path, mark):
    text = (
        f"a{mark}b{mark}c\n1,5{mark}x{mark}\n2{mark}y;z{mark}w\n" if mark != "," else "a,b\n1,2;3\n"
    )
    path.write_text(text, encoding="utf-8")
    assert delimiter_of(path, "x", "utf-8") == mark


def test_a_delimiter_that_cannot_be_told(path):
    path.write_text("a;b,c\n1;2,3\n", encoding="utf-8")
    with pytest.raises(UnusableInputError, match="may be divided by ',' and ';'"):
        delimiter_of(path, "x", "utf-8")


def test_a_stated_encoding_that_the_bytes_contradict(path):
    with pytest.raises(UnusableInputError, match=r"x.csv, row 2: this line is not in utf-8"):
        read(path, "a;b\nGröße;1\n".encode("cp1252"), form=CsvForm("utf-8", ";"))
    with pytest.raises(UnusableInputError, match="no known encoding"):
        read(path, "a;b\n", form=CsvForm("cp9999", ";"))


def test_bytes_of_no_encoding_name_their_line(path):
    with pytest.raises(UnusableInputError, match=r"row 2: byte 0x81 .* neither"):
        read(path, b"a;b\n\x81;1\n")


PRINT = """Feedback list;;;
Plant 1;;printed 02.04.2026;

Order;Machine;Good;Note
1;M1;10;
;;;
Page 2;;;
Order;Machine;Good;Note
2;M1;20;
Subtotal;;30;
3;M2;5;x
Total;;35;
*** end ***;;;
"""


def test_a_print_list_keeps_its_data_rows_only(path):
    layout = Layout(
        header_row=4,
        skip=(
            SkipRule("page line", re.compile(r"Page \d+$")),
            SkipRule("total", re.compile("(Sub)?[tT]otal$"), "Order"),
            SkipRule("trailer", re.compile(r"\*\*\* end")),
        ),
    )
    raw, rows = read(path, PRINT, layout)
    assert [(row[0], row[1], row[3]) for row in rows] == [
        (5, "1", "10"),
        (9, "2", "20"),
        (11, "3", "5"),
    ]
    assert raw.skipped == {
        "preamble": 3,
        "header": 1,
        "blank": 1,
        "page line": 1,
        "repeated header": 1,
        "total": 2,
        "trailer": 1,
    }
    assert raw.preamble == "Feedback list\nPlant 1 printed 02.04.2026\n"
    assert list(raw.last_skipped["total"]) == ["Total", "", "35", ""]


def test_an_empty_last_heading_is_no_column(path):
    for bulk_bytes in (0, 10**9):
        raw, rows = read(path, "a;b;\n1;2;\n", bulk_bytes=bulk_bytes)
        assert raw.headings == ("a", "b")
        assert rows == [(2, "1", "2", None)]


def test_a_mark_at_the_beginning_is_no_part_of_the_first_heading(path):
    for bulk_bytes in (0, 10**9):
        raw, rows = read(path, "a;b\n1;2\n".encode("utf-8-sig"), bulk_bytes=bulk_bytes)
        assert raw.headings == ("a", "b")
        assert rows == [(2, "1", "2", None)]


def test_several_header_rows_are_joined_and_merged_cells_hold_to_the_right(path):
    text = "Part;06:00;;07:00;\n;1;2;1;2\nP1;a;b;c;d\n"
    raw, rows = read(path, text, Layout(header_rows=2))
    assert raw.headings == ("Part", "06:00 1", "06:00 2", "07:00 1", "07:00 2")
    assert rows == [(3, "P1", "a", "b", "c", "d", None)]


def test_cells_are_carried_down_where_asked(path):
    raw, rows = read(path, "m;p;q\nM1;P1;1\n;;2\nM2;;3\n", Layout(carried=("m",)))
    assert [row[1:3] for row in rows] == [("M1", "P1"), ("M1", ""), ("M2", "")]
    assert raw.headings == ("m", "p", "q")


def test_a_layout_that_names_a_missing_column(path):
    with pytest.raises(UnusableInputError, match='column "x": the file has no such column'):
        read(path, "a;b\n1;2\n", Layout(carried=("x",)))


def test_no_header_where_it_should_be(path):
    with pytest.raises(UnusableInputError, match="row 9: there is no header here"):
        read(path, "a;b\n1;2\n", Layout(header_row=9))


def test_headings_are_told_apart(path):
    raw, _ = read(path, "a;A; a ;;#row\n1;2;3;4;5\n")
    assert raw.headings == ("a", "A (2)", "a (3)", "column 4", "#row (2)")


def test_headings_that_even_numbers_do_not_tell_apart(path):
    raw, _ = read(path, "a;a;a (2)\n1;2;3\n")
    assert len({heading.lower() for heading in raw.headings}) == 3


def test_quoted_cells_may_hold_anything(path):
    text = 'a;b\n"x;y";"say ""hi"""\n"two\nlines";2\n"";""\n'
    raw, rows = read(path, text)
    assert [row[1:3] for row in rows] == [("x;y", 'say "hi"'), ("two\nlines", "2")]
    assert raw.skipped["blank"] == 1


def test_an_unclosed_quote_costs_its_own_row_only(path):
    text = 'a;b\n1;2\n"3;4\n5;6\n"7;8\n9;10\n'
    _, rows = read(path, text)
    assert [(row[0], row[-1] is None) for row in rows] == [
        (2, True),
        (3, False),
        (4, True),
        (5, False),
        (6, True),
    ]


def test_short_rows_are_filled_where_asked(path):
    _, rows = read(path, "a;b;c\n1;2\n1;2;3;;\n", Layout(short_rows_fill=True))
    assert [row[-1] for row in rows] == [None, None]
    assert rows[0][3] is None


def _random_text(rng):
    cells = ["1", "", "x y", '"q"', '"a;b"', '"un', 'in"side', "ü", '"two\nlines"', '""']
    widths = [rng.choice([3, 3, 3, 2, 4]) for _ in range(rng.randrange(1, 12))]
    lines = ["a;b;c", *(";".join(rng.choice(cells) for _ in range(width)) for width in widths)]
    return "\n".join(lines) + rng.choice(["", "\n"])


def test_both_ways_of_reading_give_the_same_rows(path):
    rng = random.Random(7)
    bulk = 0
    for _ in range(60):
        text = _random_text(rng)
        form = CsvForm("utf-8", ";")
        slow, slow_rows = read(path, text, form=form)
        fast, fast_rows = read(path, text, form=form, bulk_bytes=0)
        bulk += "read in bulk" in fast.notes
        blank = [(n, *(cell or "" for cell in row)) for n, *row in slow_rows]
        assert [(n, *(cell or "" for cell in row)) for n, *row in fast_rows] == blank
        assert (fast.lines, fast.rows, fast.headings) == (slow.lines, slow.rows, slow.headings)
    assert bulk > 2


def test_quotes_that_swallow_rows_are_noticed_by_the_count_of_lines(path):
    lines = [f"{number};{number}" for number in range(1000)]
    lines[100] = '"100;100'
    lines[500] = '500;500"'
    _, rows = read(path, "a;b\n" + "\n".join(lines) + "\n", bulk_bytes=0)
    assert len(rows) == 1000
    assert [row[0] for row in rows if row[-1]] == [102]

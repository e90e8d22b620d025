"""Refused rows out, mended rows in: the same file, corrected by a person, row by row."""

import csv

import pytest

from witnessmark.errors import UnusableInputError

PARTS = "part_no,mass_g,description\n1,heavy,a\n2,5,b\n,7,c\n4,x,d\n"
MAPPING = """[[source]]
file = "x.csv"
decimal = ","
[[source.feed]]
table = "parts"
[source.feed.columns]
part_no = "Teil"
mass_g = "Masse"
"""


def to_mend(freeze, name):
    with (freeze.path / "to_mend" / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_refused_rows_come_in_the_columns_of_their_file(exports):
    exports.file("parts.csv", PARTS)
    rows = to_mend(exports.freeze(), "parts.csv")
    assert rows[0] == {
        "mend: row": "2",
        "mend: reason": "mass_g: not a number with a decimal point",
        "part_no": "1",
        "mass_g": "heavy",
        "description": "a",
    }
    assert [row["mend: row"] for row in rows] == ["2", "4", "5"]


def test_nothing_refused_leaves_no_files(exports):
    exports.file("parts.csv", "part_no\n1\n")
    freeze = exports.freeze()
    assert not (freeze.path / "refused.csv").exists()
    assert not (freeze.path / "to_mend").exists()


def test_mended_rows_take_their_places(exports):
    exports.file("parts.csv", PARTS)
    first = exports.freeze()
    exports.file(
        "mended/parts.csv",
        "mend: row,mend: reason,part_no,mass_g,description\n2,mass_g: no number,1,9.5,a\n"
        "5,,4,y,d\n",
    )
    freeze = exports.freeze()
    assert freeze.identity != first.identity
    assert exports.counts(freeze) == (4, 2, 2, 0)
    assert freeze.manifest.extracts[0].rows_mended == 2
    assert [file.name for file in freeze.manifest.files] == ["mended/parts.csv", "parts.csv"]
    assert exports.query("select part_no, mass_g::double, source_row from parts order by 1") == [
        ("1", 9.5, 2),
        ("2", 5.0, 3),
    ]
    assert [(row["row"], row["value"]) for row in exports.refused(freeze)] == [
        ("4", ""),
        ("5", "y"),
    ]


def test_a_spreadsheet_may_have_saved_it_in_its_own_way(exports):
    exports.file("x.csv", "Teil;Masse;Name\n1;schwer;A\n2;5,5;B\n")
    exports.mapping(MAPPING)
    assert list(to_mend(exports.freeze(), "x.csv")[0]) == [
        "mend: row",
        "mend: reason",
        "Teil",
        "Masse",
    ]
    exports.file("mended/x.csv", "mend: row;Masse\n2;9,5\n", encoding="cp1252")
    assert exports.query("select part_no, mass_g::double from parts order by 1") == [
        ("1", 9.5),
        ("2", 5.5),
    ]


def test_a_row_that_could_not_be_cut_is_mended_whole(exports):
    exports.file("parts.csv", 'part_no,mass_g\n1,5\n2,"5\n')
    assert exports.refused()[0]["raw_row"] == '2 | "5'
    exports.file("mended/parts.csv", "mend: row,part_no,mass_g\n3,2,5\n")
    assert exports.counts() == (2, 2, 0, 0)


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("parts.csv", "part_no,mass_g\n1,5\n", 'the column "mend: row" is missing'),
        ("parts.csv", "mend: row,mass\n2,5\n", 'column "mass": the file that is mended has no'),
        ("parts.csv", "mend: row,mass_g\n99,5\n", '"99" is no data row'),
        ("parts.csv", "mend: row,mass_g\nx,5\n", '"x" is no data row'),
        ("parts.csv", "mend: row,mass_g\n2,5\n2,6\n", "row 2 stands twice"),
        ("pats.csv", "mend: row,mass_g\n2,5\n", "there is no file of which"),
    ],
)
def test_mended_rows_that_fit_nothing(exports, name, text, said):
    exports.file("parts.csv", PARTS)
    exports.file(f"mended/{name}", text)
    with pytest.raises(UnusableInputError) as caught:
        exports.freeze()
    assert said in str(caught.value)

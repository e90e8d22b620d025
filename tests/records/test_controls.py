"""The plant's own figures: compared with what was loaded, and stated either way."""

import pytest

from witnessmark.errors import UnusableInputError

TEXT = "Teil;Menge\n1;1.000,5\n2;5,5\n3;x\nSumme;1.007,00\n"
MAPPING = """[[source]]
file = "x.csv"
decimal = ","
skip_rows_where = [{{ kind = "total", matches = "Summe$" }}]
control = [{control}]
[[source.feed]]
table = "parts"
[source.feed.columns]
part_no = "Teil"
mass_g = "Menge"
"""


def controls(exports, control):
    exports.file("x.csv", TEXT)
    exports.mapping(MAPPING.format(control=control))
    return exports.freeze().manifest.extracts[0].controls


def test_the_printed_total_against_the_loaded_rows(exports):
    (total,) = controls(
        exports, '{ column = "Menge", totals_row = "total", source = "totals row" }'
    )
    assert (total.what, total.stated, total.found, total.agrees) == (
        "sum of Menge",
        "1007",
        "1006",
        False,
    )
    assert exports.query("select control_total::double, control_source from extracts") == [
        (1007.0, "totals row")
    ]


def test_a_tolerance_is_kept(exports):
    (total,) = controls(
        exports,
        '{ column = "Menge", totals_row = "total", source = "totals row", tolerance = "1" }',
    )
    assert total.agrees


def test_a_stated_count_of_rows(exports):
    counts = controls(
        exports, '{ stated = "2", source = "e-mail" }, { stated = "3", source = "e" }'
    )
    assert [(count.what, count.found, count.agrees) for count in counts] == [
        ("rows", "2", True),
        ("rows", "2", False),
    ]


@pytest.mark.parametrize(
    ("control", "said"),
    [
        ('{ column = "Masse", stated = "1", source = "s" }', "the file has no such column"),
        ('{ column = "Menge", stated = "many", source = "s" }', '"many" is no number'),
        ('{ totals_row = "total", source = "s" }', "holds this figure"),
    ],
)
def test_a_control_that_cannot_be_compared(exports, control, said):
    with pytest.raises(UnusableInputError) as caught:
        controls(exports, control)
    assert said in str(caught.value)

"""mapping.toml: everything that is wrong with one is said at once, with its place and its mend."""

import pytest

from witnessmark.errors import UnusableInputError
from witnessmark.records.mapping_file import load_mapping
from witnessmark.records.plant import Plant

PLACES = Plant(zone="UTC")
ALLOCATIONS = Plant(zone="UTC", person_basis="allocations")
SOURCE = '[[source]]\nfile = "x.csv"\n'
PARTS = '[[source.feed]]\ntable = "parts"\n[source.feed.columns]\npart_no = "Teil"\n'
CHECKS = """[[source.feed]]
table = "checks"
[source.feed.columns]
check_id = "<row>"
machine_id = "M"
part_no = "P"
kind = { constant = "patrol" }
result = "R"
"""


def faults(tmp_path, text, plant=PLACES):
    path = tmp_path / "mapping.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(UnusableInputError) as caught:
        load_mapping(path, plant)
    return [str(fault) for fault in caught.value.faults]


def test_a_good_mapping(tmp_path):
    path = tmp_path / "mapping.toml"
    path.write_text(SOURCE + PARTS, encoding="utf-8")
    mapping = load_mapping(path, PLACES)
    assert mapping.source[0].feed[0].specs["part_no"].headings == ("Teil",)


def test_all_faults_at_once(tmp_path):
    said = faults(
        tmp_path,
        SOURCE
        + 'encodng = "utf-8"\nheader_row = 0\n[[source.feed]]\ntable = "parts"\n'
        + '[source.feed.columns]\npart_no = 5\nmass_g = { from = "m", unt = "kg" }\n',
    )
    assert len(said) == 4
    assert 'source 1: "encodng" is no known key. Did you mean encoding?' in said[0]
    assert any("header_row: 0 does not fit" in line for line in said)
    assert any("feed 1: columns.part_no: 5 does not fit" in line for line in said)
    assert any('columns.mass_g: "unt" is no known key. Did you mean unit?' in line for line in said)


def test_faults_of_meaning_all_at_once(tmp_path):
    said = faults(
        tmp_path,
        SOURCE
        + '[[source.feed]]\ntable = "part"\n[source.feed.columns]\npart_no = "T"\n'
        + '[[source.feed]]\ntable = "runs"\n[source.feed.columns]\nrun_id = "r"\nmachine = "m"\n',
    )
    assert said[0] == (
        'mapping.toml: source 1: feed 1: there is no table "part" to feed. Did you mean parts?'
    )
    assert 'runs has no column "machine". Did you mean machine_id?' in said[1]
    assert [line.split("needs the column ")[1].split(".")[0] for line in said[2:]] == [
        "machine_id",
        "part_no",
        "start_at",
    ]


@pytest.mark.parametrize(
    ("column", "said"),
    [
        ('mass_g = { constant = "1", from = "a" }', "takes one of from, constant"),
        ("mass_g = { decimal = '.' }", "takes one of from, constant"),
        ('mass_g = { from = "a", pattern = "(" }', "no regular expression"),
        ('mass_g = { from = "a", pattern = "(?=x)" }', "no regular expression"),
        ('mass_g = { from = "a", unit = "h" }', '"h" cannot be turned into g'),
        ('mass_g = { from = "a", unit = "h:mm" }', '"h:mm" cannot be turned into g'),
        ('mass_g = { from = "a", format = "DD.MM.YYYY" }', "format belongs to date and instant"),
        ('mass_g = { from = "a", decimal = ",", thousands = "," }', "are the same mark"),
        ('description = { from = "a", unit = "g" }', "unit belongs to int and decimal"),
        ('description = { from = "a", tolerance = "lower" }', "tolerance belongs to decimal"),
        ('description = { from = "a", split = "/" }', "split belongs to list"),
        ('description = { from = "a", pseudonym = true }', "this column holds no person"),
        ('description = "<cell>"', "<cell> needs an unpivot"),
        ("description = []", "from names no heading"),
    ],
)
def test_a_column_that_cannot_be_meant(tmp_path, column, said):
    assert said in faults(tmp_path, SOURCE + PARTS + column + "\n")[0]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('dates = "soon"', '"soon" is no date format'),
        ('dates = "serial"', "serial dates need an epoch"),
        ('delimiter = "::"', "the delimiter is one character"),
        ('decimal = ","\nthousands = ","', "the same mark"),
        ('skip_rows_where = [{ kind = "x", matches = "[" }]', "no regular expression"),
        ('control = [{ source = "s" }]', "takes either stated or totals_row"),
        ('control = [{ source = "s", totals_row = "total" }]', 'has the kind "total"'),
        ('control = [{ source = "s", stated = "1", tolerance = "x" }]', "'x' is no number"),
    ],
)
def test_a_source_that_cannot_be_meant(tmp_path, line, said):
    assert said in faults(tmp_path, SOURCE + line + "\n" + PARTS)[0]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("unpivot = { blank_cells = 'keep' }", "either columns or columns_match"),
        ('unpivot = { columns_match = "[" }', "no regular expression"),
        ('overlap = "keep"', "overlap_reason"),
        ('only_where = { a = { matches = "[" } }', "no regular expression"),
    ],
)
def test_a_feed_that_cannot_be_meant(tmp_path, line, said):
    text = PARTS.replace('table = "parts"\n', f'table = "parts"\n{line}\n')
    assert said in " ".join(faults(tmp_path, SOURCE + text))


def test_no_source_and_no_feed(tmp_path):
    assert "there is no [[source]]" in faults(tmp_path, "source = []\n")[0]
    assert "it feeds no table" in faults(tmp_path, SOURCE + "feed = []\n")[0]
    assert 'the key "source" is missing' in faults(tmp_path, "")[0]


def test_one_time_only_must_say_which_it_is(tmp_path):
    text = SOURCE + CHECKS + 'done_at = "Zeit"\n'
    assert "one time only, mapped to done_at" in faults(tmp_path, text)[0]
    entered = text.replace('table = "checks"\n', 'table = "checks"\ntime_is = "entered"\n')
    assert "Map the time to entered_at" in faults(tmp_path, entered)[0]
    path = tmp_path / "mapping.toml"
    path.write_text(entered.replace("done_at", "entered_at"), encoding="utf-8")
    assert load_mapping(path, PLACES).source[0].feed[0].time_is == "entered"


def test_words_of_a_closed_column(tmp_path):
    text = SOURCE + CHECKS.replace(
        'result = "R"', 'result = { from = "R", values = { ok = "good" } }'
    )
    said = faults(tmp_path, text.replace('"patrol"', '"round"'))
    assert any('"good" is no word of this column. Words are: pass, fail' in line for line in said)
    assert any('"round" is no word of this column' in line for line in said)


def test_a_column_of_persons_says_what_becomes_of_them(tmp_path):
    plain = SOURCE + CHECKS + 'done_by = "Prüfer"\n'
    assert (
        "done_by: it may name a person. Say one of pseudonym = true" in faults(tmp_path, plain)[0]
    )
    keyed = SOURCE + CHECKS + 'done_by = { from = "Prüfer", pseudonym = true }\n'
    assert "plant.toml grants places only" in faults(tmp_path, keyed)[0]
    path = tmp_path / "mapping.toml"
    path.write_text(keyed, encoding="utf-8")
    assert load_mapping(path, ALLOCATIONS).source[0].feed[0].specs["done_by"].pseudonym
    for way in ('place_of = "M"', "is_role = true"):
        path.write_text(keyed.replace("pseudonym = true", way), encoding="utf-8")
        assert load_mapping(path, PLACES).source
    both = keyed.replace("pseudonym = true", "pseudonym = true, is_role = true")
    assert "it may name a person" in faults(tmp_path, both, ALLOCATIONS)[0]


def test_what_is_no_toml_says_its_line(tmp_path):
    assert "at line 2" in faults(tmp_path, "a = 1\nb = \n")[0]
    (tmp_path / "mapping.toml").write_bytes(b"a = '\xff'\n")
    with pytest.raises(UnusableInputError, match="not a text file in UTF-8"):
        load_mapping(tmp_path / "mapping.toml", PLACES)

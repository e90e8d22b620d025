"""Mappings at work: a plant's writing becomes canonical rows, or a refused row with its reason."""

import pytest
from openpyxl import Workbook
from openpyxl.styles import PatternFill

from witnessmark.errors import UnusableInputError


def feed(table, columns, source="", feed=""):
    return (
        f'[[source]]\nfile = "x.csv"\n{source}\n[[source.feed]]\ntable = "{table}"\n{feed}\n'
        f"[source.feed.columns]\n{columns}\n"
    )


def stopped(exports):
    with pytest.raises(UnusableInputError) as caught:
        exports.freeze()
    return str(caught.value)


def reasons(exports):
    return [(row["row"], row["column"], row["value"], row["reason"]) for row in exports.refused()]


RUNS = """run_id = { from = ["Auftrag", "<row>"], join = "/" }
machine_id = "Maschine"
part_no = { from = "Teil", pad_zeros = 4 }
start_at = ["Datum", "Von"]
end_at = ["Datum", "Bis"]
good = { from = "Gut (Tsd.)", unit = "thousand", blank_is = "0" }
"""


def test_a_list_with_decimal_commas_and_split_times(exports):
    exports.file(
        "x.csv",
        "Auftrag;Maschine;Teil;Datum;Von;Bis;Gut (Tsd.)\n"
        "F1;M1;7;29.01.2026;06:00;14:00;1,25\n"
        "F1;M1;0012;30.01.2026;16:00;24:00;\n"
        "F2;M1;0012;31.01.2026;;14:00;1.000,5\n"
        "F2;M1;0012;31.04.2026;06:00;14:00;1\n"
        "F3;M1;0012;01.02.2026;06:00;06:30;1,23456\n",
    )
    exports.mapping(feed("runs", RUNS, 'decimal = ","\ndates = "DD.MM.YYYY"'))
    freeze = exports.freeze()
    rows = exports.query(
        "select run_id, part_no, local_time(start_at)::varchar, local_time(end_at)::varchar, good, "
        "start_at_quality from runs order by source_row",
        freeze,
    )
    assert rows == [
        ("F1/2", "0007", "2026-01-29 06:00:00", "2026-01-29 14:00:00", 1250, "min"),
        ("F1/3", "0012", "2026-01-30 16:00:00", "2026-01-31 00:00:00", 0, "min"),
        ("F2/4", "0012", "2026-01-31 00:00:00", "2026-01-31 14:00:00", 1000500, "day"),
    ]
    assert reasons(exports) == [
        (
            "5",
            "Datum + Bis",
            "31.04.2026 14:00",
            "no date written DD.MM.YYYY, or a day or time that does not exist",
        ),
        (
            "5",
            "Datum + Von",
            "31.04.2026 06:00",
            "no date written DD.MM.YYYY, or a day or time that does not exist",
        ),
        ("6", "Gut (Tsd.)", "1234.56", "not a whole number"),
    ]
    assert exports.counts(freeze) == (5, 3, 2, 0)


def test_an_order_that_the_column_proves_is_taken_and_said(exports):
    exports.file("x.csv", "Teil;Ab\n1;03.04.2026\n2;25.04.2026\n")
    exports.mapping(
        feed(
            "concessions",
            'concession_id = "<row>"\npart_no = "Teil"\nvalid_to = "Ab"',
        )
    )
    freeze = exports.freeze()
    assert exports.query("select valid_to::varchar from concessions order by 1", freeze) == [
        ("2026-04-03",),
        ("2026-04-25",),
    ]
    notes = freeze.manifest.extracts[0].notes
    assert 'dates in "Ab" read as DD.MM.YYYY, proved by row 3 (25.04.2026)' in notes


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        (
            ["03.04.2026", "04.05.2026"],
            'x.csv, row 2, column "Ab": "03.04.2026" may be DD.MM.YYYY or MM/DD/YYYY, and no',
        ),
        (["25.04.2026", "04/25/2026"], "no one date order fits this and the other rows"),
        (["46110", "46111"], '"46110" looks like a serial date'),
    ],
)
def test_dates_that_nobody_can_read_stop_the_load(exports, cells, said):
    exports.file("x.csv", "Teil;Ab\n" + "".join(f"1;{cell}\n" for cell in cells))
    exports.mapping(
        feed("concessions", 'concession_id = "<row>"\npart_no = "Teil"\nvalid_to = "Ab"')
    )
    text = stopped(exports)
    assert said in text
    assert "in mapping.toml" in text


def test_ten_or_ten_thousand_stops_the_load(exports):
    exports.file("x.csv", "Teil;Menge\n1;10,000\n2;5\n")
    columns = 'lot_no = "<row>"\npart_no = "Teil"\nqty = {q}'
    exports.mapping(feed("lots", columns.format(q='"Menge"')))
    text = stopped(exports)
    assert 'x.csv, row 2, column "Menge": "10,000"' in text
    assert 'Say decimal = "," or decimal = "."' in text
    exports.mapping(feed("lots", columns.format(q='{ from = "Menge", decimal = "," }')))
    assert exports.query("select qty from lots order by 1") == [(5,), (10,)]
    exports.mapping(feed("lots", columns.format(q='{ from = "Menge", decimal = "." }')))
    assert exports.query("select qty from lots order by 1") == [(5,), (10000,)]


def test_all_open_questions_of_all_files_at_once(exports):
    exports.file("x.csv", "Teil;Menge;Am\n1;10,000;03.04.2026\n")
    exports.mapping(
        feed("lots", 'lot_no = "<row>"\npart_no = "Teil"\nqty = "Menge"\nopened_at = "Am"')
    )
    text = stopped(exports)
    assert 'column "Menge"' in text
    assert 'column "Am"' in text


def test_serial_dates_of_both_epochs(exports):
    columns = (
        'concession_id = "<row>"\npart_no = "T"\n'
        'valid_to = {{ from = "D", format = "serial", epoch = {e} }}'
    )
    exports.file("x.csv", "T;D\n1;45000\n2;60\n")
    exports.mapping(feed("concessions", columns.format(e=1900)))
    assert exports.query("select valid_to::varchar from concessions") == [("2023-03-15",)]
    assert exports.refused()[0]["row"] == "3"
    exports.mapping(feed("concessions", columns.format(e=1904)))
    assert exports.query("select min(valid_to)::varchar from concessions") == [("1904-03-01",)]


def test_headings_that_the_file_lacks_are_named_with_its_header(exports):
    exports.file("x.csv", "Teil;Menge\n1;10\n")
    exports.mapping(
        feed(
            "lots",
            'lot_no = "Los"\npart_no = "Tiel"\nqty = "Menge"',
            feed='only_where = { "Art" = "x" }',
        )
    )
    text = stopped(exports)
    for name in ("Los", "Tiel", "Art"):
        assert f'column "{name}": lots: the file has no such column' in text
    assert "the header that was read is: Teil; Menge." in text


def test_words_patterns_and_constants(exports):
    exports.file(
        "x.csv",
        "Nr;Text;Befund;Art\n1;M1 / P7;i.O.;Lauf\n2;M2 / P8;n.i.O.;Ende\n3;M3;i.O.;Lauf\n"
        "4;M1 / P7;?;Lauf\n5;M1 / P7;;Lauf\n",
    )
    exports.mapping(
        feed(
            "checks",
            'check_id = { from = "Nr", prefix = "S-" }\n'
            'machine_id = { from = "Text", pattern = "^(M\\\\d+) / " }\n'
            'part_no = { from = "Text", pattern = "P\\\\d+" }\n'
            'kind = { from = "Art", values = { Lauf = "patrol", Ende = "last-off" } }\n'
            'result = { from = "Befund", values = { "i.O." = "pass", "n.i.O." = "fail" } }\n',
        )
    )
    assert exports.query(
        "select check_id, machine_id, part_no, kind, result from checks order by 1"
    ) == [("S-1", "M1", "P7", "patrol", "pass"), ("S-2", "M2", "P8", "last-off", "fail")]
    assert reasons(exports) == [
        ("4", "Text", "M3", r"does not match ^(M\d+) / "),
        ("4", "Text", "M3", r"does not match P\d+"),
        ("5", "Befund", "?", "a word the mapping does not name"),
        ("6", "Befund", "", "empty, and this table needs it"),
    ]


def test_what_unknown_words_and_unmatched_texts_may_become(exports):
    exports.file("x.csv", "Nr;Grund;Soll\n1;Bruch;asap\n2;-;05.05.2026\n3;xyz;32.05.2026\n")
    exports.mapping(
        feed(
            "stoppages",
            'stop_id = "Nr"\nmachine_id = { constant = "M1" }\n'
            'start_at = { constant = "2026-01-05 06:00" }\n'
            'reason = { from = "Grund", empty = ["-"], values = { Bruch = "crash" }, '
            'other = "keep" }\n'
            'acknowledged_at = { from = "Soll", format = "DD.MM.YYYY", unreadable = "empty" }',
        )
    )
    assert exports.query(
        "select stop_id, reason, acknowledged_at is null from stoppages order by 1"
    ) == [("1", "crash", True), ("2", None, False), ("3", "xyz", True)]
    notes = exports.freeze().manifest.extracts[0].notes
    assert "acknowledged_at: 2 written cells are left empty, as the mapping says" in notes


def test_one_file_feeds_several_tables_and_every_row_is_taken(exports):
    exports.file(
        "x.csv",
        "Nr;Art;Von\n1;Lauf;2026-01-05 06:00\n2;Rüsten;2026-01-05 07:00\n3;Pause;2026-01-05 08:00\n"
        "4;Rüsten;never\n",
    )
    base = 'machine_id = {{ constant = "M1" }}\n{part} = {{ constant = "P1" }}\nstart_at = "Von"\n'
    exports.mapping(
        feed(
            "runs",
            'run_id = "Nr"\n' + base.format(part="part_no"),
            feed='only_where = { Art = "Lauf" }',
        )
        + '[[source.feed]]\ntable = "setups"\nonly_where = { Art = ["Rüsten", "Setup"] }\n'
        + '[source.feed.columns]\nsetup_id = "Nr"\n'
        + base.format(part="to_part")
    )
    freeze = exports.freeze()
    assert exports.counts(freeze) == (4, 2, 2, 0)
    assert [(row["row"], row["reason"]) for row in exports.refused()] == [
        ("4", "no feed of the mapping takes this row (only_where)"),
        ("5", "no date written YYYY-MM-DD, or a day or time that does not exist"),
    ]
    assert freeze.manifest.extracts[0].entries == {
        "runs": {"made": 1, "loaded": 1, "refused": 0, "duplicate": 0},
        "setups": {"made": 2, "loaded": 1, "refused": 1, "duplicate": 0},
    }


def test_conditions_on_rows(exports):
    exports.file("x.csv", "Teil;Art\n1;a\n2;\n3;b\n4;ac\n")
    exports.mapping(
        feed("parts", 'part_no = "Teil"', feed='only_where = { Art = { matches = "^a" } }')
        + '[[source.feed]]\ntable = "routings"\nonly_where = { Art = { is_not = ["a", "ac"] } }\n'
        + '[source.feed.columns]\npart_no = "Teil"\nop = { constant = "10" }\n'
        + 'group_id = { constant = "G" }\nideal_cycle_s = { constant = "12.5" }\n'
    )
    assert exports.query("select part_no from parts order by 1") == [("1",), ("4",)]
    assert exports.query("select part_no from routings order by 1") == [("2",), ("3",)]


def test_a_check_sheet_with_hour_columns_and_several_readings_in_a_cell(exports):
    exports.file(
        "x.csv",
        "Sheet of 2026-01-05;;;;\n"
        "Merkmal;Soll;06:00;07:00;Bemerkung\n"
        "10;12,70 ±0,05;12,71/12,69;12,72;ok\n"
        "20;5 +0,1/-0,2;5,01;;\n"
        "30;;;;nothing measured\n"
        "40;max 5;x/4,9;;\n",
    )
    exports.mapping(
        feed(
            "measurements",
            'check_id = { from = ["<heading>", "<preamble>"], pattern = "^[0-9:]+" }\n'
            'line = "Merkmal"\npiece_no = "<entry>"\nvalue = "<cell>"\n'
            'lower_used = { from = "Soll", tolerance = "lower" }\n'
            'upper_used = { from = "Soll", tolerance = "upper" }\n',
            source='header_row = 2\ndecimal = ","',
            feed='unpivot = { columns_match = "\\\\d\\\\d:\\\\d\\\\d", split = "/" }',
        )
    )
    freeze = exports.freeze()
    rows = exports.query(
        "select check_id, line, piece_no, value::double, lower_used::double, upper_used::double, "
        "source_row from measurements order by line, check_id, piece_no",
        freeze,
    )
    assert rows == [
        ("06:00", "10", 1, 12.71, 12.65, 12.75, 3),
        ("06:00", "10", 2, 12.69, 12.65, 12.75, 3),
        ("07:00", "10", 1, 12.72, 12.65, 12.75, 3),
        ("06:00", "20", 1, 5.01, 4.8, 5.1, 4),
        ("06:00", "40", 2, 4.9, None, 5.0, 6),
    ]
    assert exports.counts(freeze) == (4, 3, 1, 0)
    assert freeze.manifest.extracts[0].entries["measurements"] == {
        "made": 6,
        "loaded": 5,
        "refused": 1,
        "duplicate": 0,
    }
    assert exports.refused()[0]["value"] == "x"


def test_a_board_month_by_fill_colour_only(exports):
    workbook = Workbook()
    workbook.active.append(["Letter", "5", "6", "7"])
    workbook.active.append(["Q", None, None, None])
    for cell, colour in (("B2", "FF00B050"), ("C2", "FFFF0000")):
        workbook.active[cell].fill = PatternFill("solid", fgColor=colour)
    workbook.save(exports.folder / "board.xlsx")
    exports.mapping(
        feed(
            "board_statuses",
            'area = { constant = "A" }\nletter = "Letter"\n'
            'production_date = { from = "<heading>", suffix = ".01.2026", format = "DD.MM.YYYY" }\n'
            'colour = { from = "<fill>", values = { "#00B050" = "green", "#FF0000" = "red" } }\n',
            source='fill_colours = ["5", "6", "7"]',
            feed='unpivot = { columns = ["5", "6", "7"] }',
        ).replace("x.csv", "board.xlsx")
    )
    assert exports.query(
        "select letter, production_date::varchar, colour from board_statuses order by 2"
    ) == [("Q", "2026-01-05", "green"), ("Q", "2026-01-06", "red")]


def test_lists_durations_and_numbers_within(exports):
    exports.file(
        "x.csv",
        "Nr;Schicht;Dauer;Bed\n1;früh, spät;1:30;a/b\n2;;0:05;\n3;nacht, xx;2:00;\n",
    )
    exports.mapping(
        feed(
            "unattended_permissions",
            'permission_id = { number_within = ["<file>"] }\nmachine_id = { constant = "M1" }\n'
            'shifts = { from = "Schicht", split = ",", values = { "früh" = "early", '
            '"spät" = "late", nacht = "night" } }\n'
            'valid_from = { constant = "2026-01-01" }\n'
            'max_duration_min = { from = "Dauer", unit = "h:mm" }\n'
            'conditions = { from = "Bed", split = "/" }\n',
        )
    )
    assert exports.query(
        "select permission_id, shifts, max_duration_min::double, conditions "
        "from unattended_permissions order by 1"
    ) == [("1", ["early", "late"], 90.0, ["a", "b"]), ("2", None, 5.0, None)]
    assert reasons(exports) == [
        ("4", "Schicht", "nacht, xx", "a word the mapping does not name"),
    ]


def test_ids_that_lost_their_digits_are_refused(exports):
    exports.file("x.csv", "Teil\n1.2E+12\n0042\n")
    exports.mapping(feed("parts", 'part_no = "Teil"'))
    assert exports.query("select part_no from parts") == [("0042",)]
    assert "lost its digits" in exports.refused()[0]["reason"]


def test_formulas_in_error_are_refused_wherever_they_are_used(exports):
    exports.file("x.csv", "Teil;Text\n1;#REF!\n#N/A;x\n3;# 5\n")
    exports.mapping(feed("parts", 'part_no = "Teil"\ndescription = "Text"'))
    assert exports.query("select description from parts") == [("# 5",)]
    assert len(exports.refused()) == 2


def test_every_file_must_be_taken_by_somebody(exports):
    exports.file("x.csv", "Teil\n1\n")
    exports.file("old.csv", "Teil\n1\n")
    exports.mapping(feed("parts", 'part_no = "Teil"'))
    assert '"old" is no canonical table. Name it in a [[source]]' in stopped(exports)
    exports.mapping('ignore = ["old*"]\n' + feed("parts", 'part_no = "Teil"'))
    assert exports.counts() == (1, 1, 0, 0)


def test_sources_that_take_nothing_or_take_twice(exports):
    exports.file("x.csv", "Teil\n1\n")
    exports.mapping(
        feed("parts", 'part_no = "Teil"')
        + feed("parts", 'part_no = "Teil"')
        + feed("parts", 'part_no = "Teil"').replace("x.csv", "y*.csv")
    )
    text = stopped(exports)
    assert "source 2: source 1 takes this file already" in text
    assert 'source 3: no file of the folder is called "y*.csv"' in text


def test_files_in_subfolders_and_globs(exports):
    exports.file("2026/a.csv", "Teil\n1\n")
    exports.file("2026/b.csv", "Teil\n2\n")
    exports.mapping(feed("parts", 'part_no = "Teil"').replace("x.csv", "2026/*.csv"))
    assert exports.query("select part_no, extract_id from parts order by 1") == [
        ("1", "2026/a.csv"),
        ("2", "2026/b.csv"),
    ]


def test_extracts_say_where_a_file_came_from(exports):
    exports.file("x.csv", "Teil\n1\n")
    exports.mapping(
        feed(
            "parts",
            'part_no = "Teil"',
            'system = "paper"\nclock_id = "c"\nowner_role = "planner"\nzone = "Europe/Lisbon"\n'
            'pulled_at = "2026-04-01 07:00"\nperiod = [2026-01-01, 2026-03-31]',
        )
    )
    assert exports.query(
        "select system, clock_id, owner_role, zone, period_from::varchar, pulled_at is null "
        "from extracts"
    ) == [("paper", "c", "planner", "Europe/Lisbon", "2026-01-01", False)]


def test_the_mapping_is_part_of_the_identity(exports):
    exports.file("x.csv", "Teil;T2\n1;2\n")
    exports.mapping(feed("parts", 'part_no = "Teil"'))
    first = exports.freeze()
    exports.mapping(feed("parts", 'part_no = "T2"'))
    second = exports.freeze()
    assert second.identity != first.identity
    assert second.manifest.mapping_sha256 != first.manifest.mapping_sha256


def test_overlaps_are_kept_where_the_mapping_says_why(exports):
    exports.file(
        "x.csv",
        "Nr;Von;Bis\n1;2026-01-05 06:00;2026-01-05 09:00\n2;2026-01-05 07:00;\n"
        "3;2026-01-05 08:00;2026-01-05 09:00\n",
    )
    columns = (
        'run_id = "Nr"\nmachine_id = { constant = "M1" }\npart_no = { constant = "P1" }\n'
        'start_at = "Von"\nend_at = "Bis"\n'
    )
    exports.mapping(feed("runs", columns))
    assert exports.counts() == (3, 2, 1, 0)
    exports.mapping(feed("runs", columns, feed='overlap = "keep"\noverlap_reason = "two spindles"'))
    freeze = exports.freeze()
    assert exports.counts(freeze) == (3, 3, 0, 0)
    extract = freeze.manifest.extracts[0]
    assert extract.entries["runs"]["overlapping, kept"] == 1
    assert "runs: overlapping rows of one machine are kept: two spindles" in extract.notes


def test_a_pattern_that_only_fails_on_the_cells_is_no_traceback(exports):
    exports.file("x.csv", "Teil\n1\n")
    exports.mapping(feed("parts", 'part_no = { from = "Teil", pattern = "(?P<a>.)(?P=a)" }'))
    assert "cannot be carried out" in stopped(exports)

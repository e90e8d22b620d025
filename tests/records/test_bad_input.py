"""What bad input gets: a message with place and mend, or a refused row that is counted."""

import pytest

from witnessmark.errors import UnusableInputError

HEAD = "run_id,machine_id,part_no,start_at,end_at,good\n"
RIVAL = (
    "revision {} is valid from the same day as revision {} (control_plan_lines.csv, row {}), "
    "so that nobody can tell which counts"
)
ROW = "r1,M1,P1,2026-01-05 06:00,2026-01-05 14:00,100\n"


def message(exports):
    with pytest.raises(UnusableInputError) as caught:
        exports.freeze()
    return str(caught.value)


def reasons(exports):
    return [(int(row["row"]), row["canonical_column"], row["reason"]) for row in exports.refused()]


def test_no_folder(exports):
    exports.folder = exports.folder / "missing"
    assert "there is no such folder" in message(exports)


def test_nothing_to_read(exports):
    assert "nothing to read" in message(exports)


def test_no_zone(exports):
    exports.file("runs.csv", HEAD + ROW)
    (exports.folder / "plant.toml").unlink()
    assert "time zone is unknown" in message(exports)
    exports.plant("small_group = 3\n")
    assert 'the key "zone" is missing' in message(exports)


def test_every_fault_of_the_plant_at_once(exports):
    exports.file("runs.csv", HEAD + ROW)
    exports.plant('zon = "Europe/Berlin"\nsmall_group = "many"\nperson_basis = "names"\n')
    said = message(exports)
    assert "Did you mean zone?" in said
    assert 'the key "zone" is missing' in said
    assert "small_group: 'many' does not fit" in said
    assert "places, allocations, profiling" in said


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('zone = "Mars/Olympus"', "no known time zone"),
        ("zone = ", "this is not TOML"),
        (
            'zone = "UTC"\nperiod_from = 2026-02-01\nperiod_to = 2026-01-01',
            "period_to lies before period_from",
        ),
        ('zone = "UTC"\nproduction_day = "6 am"', "production_day"),
    ],
)
def test_a_faulty_plant(exports, text, expected):
    exports.file("runs.csv", HEAD + ROW)
    exports.plant(text)
    assert expected in message(exports)


def test_a_file_of_no_known_table_is_not_passed_over(exports):
    exports.file("runs.csv", HEAD + ROW)
    exports.file("rnus.csv", HEAD + ROW)
    exports.file("notes.ods", "x")
    said = message(exports)
    assert '"rnus" is no canonical table' in said
    assert '"notes" is no canonical table' in said
    assert "Rename the file" in said


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "the file is empty"),
        (b"\xef\xbb\xbf \r\n\r\n", "the file is empty"),
        (b"PK\x03\x04rest of a workbook", "a workbook or another zipped file"),
        (b"%PDF-1.7 ...", "a PDF document"),
        (b"PAR1....", "a Parquet file"),
        (b"\x89PNG\r\n", "a picture"),
        (bytes(range(256)) * 4, "a binary file"),
    ],
)
def test_a_wrong_file(exports, content, expected):
    exports.file("runs.csv", content)
    said = message(exports)
    assert said.startswith("runs.csv")
    assert expected in said


@pytest.mark.parametrize(
    ("name", "content", "expected"),
    [
        ("runs.xlsx", b"run_id,machine_id\n", "cannot be opened as a workbook"),
        ("runs.parquet", b"run_id,machine_id\n", "cannot be read as Parquet"),
        ("runs.xls", b"\xd0\xcf\x11\xe0", "there is no reader"),
    ],
)
def test_a_file_that_is_not_what_its_name_says(exports, name, content, expected):
    exports.file(name, content)
    assert expected in message(exports)


def test_half_a_header(exports):
    exports.file("runs.csv", "run_id,machine_id,stat_at\nr1,M1,2026-01-05 06:00\n")
    said = message(exports)
    assert 'column "stat_at": runs has no such column. Did you mean start_at?' in said
    assert 'column "part_no": the header lacks this column' in said
    assert 'column "start_at": the header lacks this column' in said


def test_a_column_that_stands_twice(exports):
    exports.file("runs.csv", "run_id,machine_id,part_no,start_at,good,good\n")
    assert 'column "good (2)"' in message(exports)


def test_a_header_and_no_rows_is_present_and_empty(exports):
    exports.file("runs.csv", HEAD)
    freeze = exports.freeze()
    assert exports.counts(freeze) == (0, 0, 0, 0)
    assert freeze.manifest.tables["runs"].rows == 0
    assert exports.query("select count(*) from runs", freeze) == [(0,)]


def test_mixed_encodings_name_both_lines(exports):
    exports.file(
        "parts.csv", "part_no,description\n1,Hülse\n".encode() + "2,Büchse\n".encode("cp1252")
    )
    said = message(exports)
    assert "parts.csv, row 2: this line is UTF-8 and other lines are not" in said
    assert "parts.csv, row 3: byte 0xFC" in said


def test_all_bad_files_are_named_at_once(exports):
    exports.file("runs.csv", "")
    exports.file("parts.csv", "x\n1\n")
    said = message(exports)
    assert "runs.csv: the file is empty" in said
    assert 'parts.csv, row 1, column "x"' in said


def test_bad_cells_refuse_their_row_only(exports):
    exports.file(
        "runs.csv",
        HEAD
        + ROW
        + "r2,M1,P1,05.01.2026 14:00,,1\n"
        + "r3,M1,P1,2026-03-29 02:30,,1\n"
        + "r4,M1,P1,2026-01-06 06:00,2026-01-06 05:00,1\n"
        + "r5,M1,P1,2026-01-07 06:00,,-5\n"
        + "r6,M1,,2026-01-08 06:00,,ten\n"
        + "r7,M1,P1,2026-02-30 06:00,,1\n"
        + "#REF!,M1,P1,2026-01-09 06:00,,1\n"
        + "r9,M1,P1,2026-01-10 06:00,9999-12-31 00:00,1\n"
        + "r10,M1,1.2E+12,2026-01-11 06:00,,1\n",
    )
    freeze = exports.freeze()
    assert exports.counts(freeze) == (10, 1, 9, 0)
    assert reasons(exports) == [
        (3, "start_at", "not a time written 2026-03-29 01:45 or 2026-10-25T02:30+02:00"),
        (4, "start_at", "this local time never occurred: the clocks were put forward over it"),
        (5, "end_at", "lies before start_at"),
        (6, "good", "below zero, and an amount cannot be"),
        (7, "good", "not a whole number"),
        (7, "part_no", "empty, and this table needs it"),
        (8, "start_at", "not a time written 2026-03-29 01:45 or 2026-10-25T02:30+02:00"),
        (9, "run_id", "a formula in error, or one that was never calculated"),
        (10, "end_at", "not between 1970 and 2099; leave it empty where it stands for no time"),
        (11, "part_no", "an id that lost its digits in a spreadsheet"),
    ]
    first = exports.refused()[0]
    assert (first["file"], first["row"], first["column"], first["value"]) == (
        "runs.csv",
        "3",
        "start_at",
        "05.01.2026 14:00",
    )
    assert first["raw_row"] == "r2 | M1 | P1 | 05.01.2026 14:00 |  | 1"


def test_rows_that_cannot_be_cut_into_cells(exports):
    exports.file(
        "runs.csv",
        HEAD
        + ROW
        + 'r2,M1,"P1,2026-01-06 06:00,,\nr3,M1\n'
        + ROW.replace("r1", "r4").replace("-05", "-08")
        + "r5,M1,P1,2026-01-09 06:00,,1,extra\n",
    )
    freeze = exports.freeze()
    assert exports.counts(freeze) == (5, 2, 3, 0)
    assert [(row["row"], row["reason"]) for row in exports.refused()] == [
        ("3", "a quotation mark is opened and never closed"),
        ("4", "2 cells, where the header has 6"),
        ("6", "7 cells, where the header has 6"),
    ]


def test_the_same_row_twice_counts_once(exports):
    exports.file("runs.csv", HEAD + ROW + ROW + ROW)
    assert exports.counts() == (3, 1, 0, 2)


def test_a_row_in_two_files_is_a_repeat_of_the_later(exports):
    exports.file("runs.csv", HEAD + ROW)
    exports.mapping(
        '[[source]]\nfile = "more.csv"\n[[source.feed]]\ntable = "runs"\n[source.feed.columns]\n'
        + "".join(f'{name} = "{name}"\n' for name in HEAD.strip().split(","))
    )
    exports.file("more.csv", HEAD + ROW + ROW.replace("r1", "r2").replace("-05", "-06"))
    freeze = exports.freeze()
    assert exports.counts(freeze, 0) == (2, 2, 0, 0)
    assert exports.counts(freeze, 1) == (1, 0, 0, 1)


def test_one_key_with_two_contents_refuses_both_and_each_names_the_other(exports):
    exports.file("runs.csv", HEAD + ROW + ROW.replace("100", "101") + ROW)
    freeze = exports.freeze()
    assert exports.counts(freeze) == (3, 0, 2, 1)
    assert reasons(exports) == [
        (2, "run_id", "the same key as runs.csv, row 3, with other content"),
        (3, "run_id", "the same key as runs.csv, row 2, with other content"),
    ]


def test_an_empty_part_of_a_key_is_a_value(exports):
    exports.file(
        "board_statuses.csv",
        "area,letter,production_date,shift,colour\nA,Q,2026-01-05,,red\nA,Q,2026-01-05,,green\n"
        "A,Q,2026-01-05,early,green\n",
    )
    assert exports.counts() == (3, 1, 2, 0)


def test_overlapping_runs_of_one_machine(exports):
    exports.file(
        "runs.csv",
        HEAD
        + ROW
        + "r2,M1,P2,2026-01-05 10:00,2026-01-05 11:00,1\n"
        + "r3,M2,P2,2026-01-05 10:00,2026-01-05 11:00,1\n"
        + "r4,M1,P2,2026-01-05 13:59,2026-01-05 15:00,1\n"
        + "r5,M1,P2,2026-01-05 14:30,2026-01-05 16:00,1\n"
        + "r6,M1,P2,2026-01-05 15:00,2026-01-05 16:00,1\n",
    )
    freeze = exports.freeze()
    assert exports.counts(freeze) == (6, 4, 2, 0)
    assert reasons(exports) == [
        (3, "start_at", "begins before the end of runs.csv, row 2 on the same machine"),
        (6, "start_at", "begins before the end of runs.csv, row 5 on the same machine"),
    ]
    assert exports.refused()[0]["value"] == "2026-01-05 09:00 UTC"


def test_overlapping_states_of_one_machine(exports):
    exports.file(
        "machine_states.csv",
        "machine_id,start_at,end_at,state\nM1,2026-01-05 06:00,2026-01-05 08:00,running\n"
        "M1,2026-01-05 07:00,2026-01-05 07:30,stopped\nM1,2026-01-05 08:00,,stopped\n"
        "M1,2026-01-05 07:50,2026-01-05 09:00,running\n",
    )
    assert exports.counts() == (4, 2, 2, 0)


def test_two_plan_revisions_valid_from_the_same_day(exports):
    line = "CP1,{rev},10,P1,diameter,5,clock-time,60,patrol,{day}\n"
    exports.file(
        "control_plan_lines.csv",
        "plan_no,rev,line,part_no,characteristic,sample_n,basis,interval_min,check_kinds,valid_from\n"
        + line.format(rev="A", day="2026-01-01")
        + line.format(rev="B", day="2026-02-01")
        + line.format(rev="C", day="2026-02-01"),
    )
    freeze = exports.freeze()
    assert exports.counts(freeze) == (3, 1, 2, 0)
    assert reasons(exports) == [
        (
            3,
            "valid_from",
            RIVAL.format("B", "C", 4),
        ),
        (
            4,
            "valid_from",
            RIVAL.format("C", "B", 3),
        ),
    ]


def test_many_rows_with_one_bad_cell(exports):
    rows = [f"p{number},{number}.5\n" for number in range(60_000)]
    rows[41_234] = "p41234,heavy\n"
    exports.file("parts.csv", "part_no,mass_g\n" + "".join(rows))
    freeze = exports.freeze()
    assert exports.counts(freeze) == (60_000, 59_999, 1, 0)
    assert [(r["row"], r["value"]) for r in exports.refused(freeze)] == [("41236", "heavy")]

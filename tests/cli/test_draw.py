"""A sample list: the same for everybody with the same freeze and seed, and honest about itself."""

import csv
import io
import json
import random
import shutil

import pytest
from openpyxl import load_workbook

from witnessmark.cli import app
from witnessmark.cli.sample_list import SampleList
from witnessmark.errors import WitnessmarkError

PERSONS = ("p-a1", "p-b2", "p-c3")


def check_lines():
    """Sixty checks of two kinds; every fifth is entered late, every twentieth without a time."""
    for n in range(60):
        kind = "patrol" if n % 3 else "restart"
        hour, minute = divmod(7 * n, 60)
        entered = f"2026-03-02 {6 + hour:02d}:{minute:02d}"
        if n % 5 == 0:
            entered = f"2026-03-03 {6 + hour:02d}:{minute:02d}"
        if n % 20 == 0:
            entered = ""
        yield (
            f"c{n:02d},M1,P1,{kind},2026-03-02 {6 + hour:02d}:{minute:02d},{entered},pass,"
            f"{PERSONS[n % 3]}"
        )


HEAD = "check_id,machine_id,part_no,kind,done_at,entered_at,result,done_by"
ALLOCATIONS = "person_key,machine_or_group,role,start_at,end_at,basis\n" + "".join(
    f"{person},M1,operator,2026-03-02 {hour:02d}:00,2026-03-02 {hour + 2:02d}:00,actual\n"
    for person, hour in zip(PERSONS, (6, 8, 10), strict=True)
)
MACHINES = "machine_id,area,process\nM1,T1,turning\n"
SHIFTS = (
    "area,production_date,shift,start_at,end_at,overtime\n"
    "T1,2026-03-02,early,2026-03-02 05:30,2026-03-02 10:00,false\n"
    "T1,2026-03-02,late,2026-03-02 10:00,2026-03-02 14:30,false\n"
)


def exports(folder, lines, basis="allocations"):
    folder.mkdir()
    settings = f'zone = "Europe/Berlin"\nperson_basis = "{basis}"\n'
    (folder / "plant.toml").write_text(settings, encoding="utf-8")
    (folder / "criteria.toml").write_text(
        '[late_entry_min]\nvalue = 20\ndocument = "WI-07 rev 3"\n', encoding="utf-8"
    )
    (folder / "checks.csv").write_text("\n".join([HEAD, *lines]) + "\n", encoding="utf-8")
    tables = {"allocations": ALLOCATIONS, "machines": MACHINES, "shift_instances": SHIFTS}
    for name, text in tables.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder of exports."""
    return exports(tmp_path_factory.mktemp("draw") / "exports", check_lines())


@pytest.fixture
def draw(capsys):
    """Calls the command in this process and gives what it printed."""

    def run(*tokens):
        given = ["draw", *map(str, tokens)]
        app(given, exit_on_error=False, result_action="return_value")
        return capsys.readouterr().out

    return run


@pytest.fixture
def drawn(draw):
    """The list as JSON."""
    return lambda *tokens: json.loads(draw(*tokens, "--json"))


TEN = ("--from", "late-entry", "--size", 10, "--seed", 2024)


def refs(found, place="sample"):
    return [row["Ref"] for row in found["rows"] if row["Place"] == place]


def freeze_of(folder):
    (frozen,) = (folder / ".witnessmark").iterdir()
    return frozen


@pytest.mark.parametrize("end", ["csv", "md", "xlsx"])
def test_the_same_freeze_and_seed_give_the_same_bytes(draw, folder, tmp_path, end):
    here, there = tmp_path / f"here.{end}", tmp_path / f"there.{end}"
    assert draw(folder, *TEN, "--by", "shift", "--out", here).strip() == str(here)
    copy = shutil.copytree(freeze_of(folder), tmp_path / "sent by mail")
    draw(copy, *TEN, "--by", "shift", "--criteria", folder / "criteria.toml", "--out", there)
    assert here.read_bytes() == there.read_bytes()


def test_the_printed_command_draws_the_list_again(draw, drawn, folder):
    first = drawn(folder, *TEN, "--by", "shift", "--least", 2, "--only", "conforming")
    command = first["header"]["Draw it again"].split(" (")[0].split()
    assert command[:3] == ["witnessmark", "draw", "FREEZE"]
    assert json.loads(draw(freeze_of(folder), *command[3:], "--json")) == first


def test_the_order_of_the_rows_changes_nothing(drawn, folder, tmp_path):
    lines = list(check_lines())
    random.Random(7).shuffle(lines)
    shuffled = exports(tmp_path / "shuffled", lines)
    one, other = (drawn(at, *TEN, "--by", "shift") for at in (folder, shuffled))
    assert one["rows"] == other["rows"]
    same = "Identity of the population"
    assert one["header"][same] == other["header"][same]
    assert one["header"]["Freeze"] != other["header"]["Freeze"]


def test_another_seed_draws_others_and_a_larger_sample_holds_the_smaller(drawn, folder):
    ten = refs(drawn(folder, *TEN))
    twenty = refs(drawn(folder, "--from", "late-entry", "--size", 20, "--seed", 2024))
    other = refs(drawn(folder, "--from", "late-entry", "--size", 10, "--seed", 2025))
    assert twenty[:10] == ten
    assert set(other) != set(ten)


def test_the_header_says_what_was_drawn_from_what(drawn, folder):
    header = drawn(folder, *TEN, "--by", "shift")["header"]
    assert header["Population"].startswith("the units of record test late-entry (A check was")
    assert header["Of it"] == "all: 60 units of 60"
    assert header["Freeze"] == freeze_of(folder).name
    assert header["Limit in force"] == "late_entry_min = 20 min (WI-07 rev 3)"
    assert header["Stratum early"] == "35 units, 6 in the sample, 5 in reserve"
    assert header["Stratum late"] == "25 units, 4 in the sample, 5 in reserve"
    assert header["Seed"] == "2024"
    assert "Take the next of the reserve of its stratum" in header["Missing items"]


def test_each_result_is_a_population_of_its_own(drawn, folder):
    late = drawn(folder, "--from", "late-entry", "--only", "exceptions", "--size", 9, "--seed", 1)
    assert set(refs(late)) == {f"c{n:02d}" for n in range(60) if n % 5 == 0 and n % 20}
    assert "not of all units" in late["header"]["What it can show"]
    unknown = drawn(
        folder, "--from", "late-entry", "--only", "not-assessable", "--size", 3, "--seed", 1
    )
    assert set(refs(unknown)) == {"c00", "c20", "c40"}


def test_numbers_for_each_stratum(drawn, folder):
    checks = (folder, "--from", "checks", "--by", "kind", "--seed", 3)
    each = drawn(*checks, "--each", 25)
    assert [row["Stratum"] for row in each["rows"] if row["Place"] == "sample"] == (
        ["patrol"] * 25 + ["restart"] * 20
    )
    assert "of each stratum by itself" in each["header"]["What it can show"]
    given = drawn(*checks, "--size", "patrol=1, restart=4", "--reserve", 0)
    assert [row["Stratum"] for row in given["rows"]] == ["patrol"] + ["restart"] * 4


def test_rows_of_a_table_say_where_they_stand(drawn, folder):
    row = drawn(folder, "--from", "checks", "--size", 60, "--seed", 1)["rows"][0]
    assert (row["extract_id"], row["machine_id"]) == ("checks.csv", "M1")
    assert int(row["source_row"]) == int(row["Ref"][1:]) + 2


def test_a_targeted_sample_never_has_a_rate(draw, drawn, folder):
    why = ("--target", "the night shift said so")
    chosen = drawn(folder, "--from", "late-entry", "--only", "exceptions", *why)
    assert len(chosen["rows"]) == 9
    assert "Seed" not in chosen["header"]
    for text in (chosen["header"]["What it can show"], draw(folder, *TEN, *why)):
        assert "TARGETED SAMPLE. Chosen because the night shift said so." in text
        assert "no rate may be stated from it" in text
        assert "A rate may be stated" not in text


def test_persons_are_printed_only_where_the_plant_has_a_basis(drawn, folder, tmp_path):
    checks = ("--from", "checks", "--size", 60, "--seed", 1)
    allocations = ("--from", "allocations", "--size", 3, "--seed", 1)
    assert not any(person in json.dumps(drawn(folder, *checks)) for person in PERSONS)
    assert {row["person_key"] for row in drawn(folder, *allocations)["rows"]} == set(PERSONS)
    places = exports(tmp_path / "places", check_lines(), "places")
    hidden = drawn(places, *allocations)
    assert not any(person in json.dumps(hidden) for person in PERSONS)
    assert all(ref.startswith("a person/M1/") for ref in refs(hidden))
    with pytest.raises(WitnessmarkError, match="may hold persons"):
        drawn(folder, *checks, "--by", "done_by")
    with pytest.raises(WitnessmarkError, match="has not recorded a basis"):
        drawn(places, "--from", "double-allocation", "--size", 1, "--seed", 1)


def test_the_list_can_be_read_and_printed(draw, folder, tmp_path):
    table, book = tmp_path / "list.csv", tmp_path / "list.xlsx"
    for file in (table, book):
        draw(folder, *TEN, "--out", file)
    rows = list(csv.reader(io.StringIO(table.read_text(encoding="utf-8"))))
    start = next(n for n, row in enumerate(rows) if row[:1] == ["No"])
    assert rows[start][-2:] == ["Found", "Remark"]
    assert len(rows) - start - 1 == 15  # ten and five in reserve
    sheet = load_workbook(book).active
    cells = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert [row[0] for row in cells if row[0] and str(row[0]).isdigit()][-1] == "15"
    assert sheet.page_setup.orientation == "landscape"


def test_a_cell_is_no_formula_for_a_spreadsheet():
    sample = SampleList((("Seed", "1"),), ("Ref",), (("=1+1",), ("-3 min",), ("a|b",)))
    assert "'=1+1," in sample.as_csv()
    assert "\n-3 min," in sample.as_csv()
    assert "| a\\|b |" in sample.as_markdown()


REFUSED = [
    (["--from", "late-entrance", "--size", 1, "--seed", 1], "no record test and no table"),
    (["--from", "suspect-shipped", "--size", 1, "--seed", 1], "the records lack"),
    (["--from", "setups", "--size", 1, "--seed", 1], 'the records hold no table "setups"'),
    (["--from", "late-entry", "--size", 1], "--seed: it is not given"),
    (["--from", "late-entry", "--seed", 1], "--size: it is not given"),
    (["--from", "late-entry", "--size", 61, "--seed", 1], "a number from 0 to 60"),
    (["--from", "late-entry", "--size", "some", "--seed", 1], "a whole number"),
    (["--from", "late-entry", "--size", 1, "--each", 1, "--seed", 1], "both say how many"),
    (["--from", "late-entry", "--size", 1, "--seed", 1, "--by", "colour"], 'no column "colour"'),
    (["--from", "checks", "--only", "exceptions", "--size", 1, "--seed", 1], "have no result"),
    (["--from", "late-entry", "--target", " "], "without reason"),
    (["--from", "checks", "--size", 1, "--seed", 1, "--out", "list.pdf"], ".csv, .xlsx or .md"),
    (["--from", "checks", "--size", 1, "--seed", 1, "--criteria", "no.toml"], "no such file"),
]


@pytest.mark.parametrize(("tokens", "said"), REFUSED)
def test_what_cannot_be_drawn_is_refused(draw, folder, tokens, said):
    with pytest.raises(WitnessmarkError) as refusal:
        draw(folder, *tokens)
    assert said in str(refusal.value)


def test_a_freeze_that_was_changed_is_refused(draw, folder, tmp_path):
    draw(folder, *TEN)
    changed = shutil.copytree(freeze_of(folder), tmp_path / "changed")
    with (changed / "checks.parquet").open("ab") as file:
        file.write(b"one byte more")
    with pytest.raises(WitnessmarkError, match="was changed after it was written"):
        draw(changed, *TEN)
    with pytest.raises(WitnessmarkError, match="there is no such folder"):
        draw(tmp_path / "nowhere", *TEN)

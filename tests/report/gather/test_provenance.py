"""Where numbers come from, taken from the manifest."""

from witnessmark.records.freeze import Freeze
from witnessmark.records.manifest import (
    ControlTotal,
    FrozenExtract,
    FrozenFile,
    Manifest,
)
from witnessmark.report.gather.provenance import Origin, origin_of, provenance_of
from witnessmark.report.model import RefusedRow


def manifest():
    return Manifest(
        identity="ab" * 16, tool_version="0.1.0", intake_rules="1", zone="Europe/Berlin",
        person_basis="places", period_from=None, period_to=None, mapping_sha256=None,
        files=[FrozenFile(name="book.xlsx", sha256="c0" * 32, size=10)],
        extracts=[
            FrozenExtract(
                extract_id="book.xlsx/March", file="book.xlsx", sheet="March", lines=14,
                skipped={"totals row": 2}, rows_read=12, rows_loaded=9, rows_refused=2,
                rows_duplicate=1,
                entries={"checks": {"rows": 9}, "measurements": {"rows": 40}},
                controls=[ControlTotal(
                    what="pieces", source="shift report", stated="4543", found="4540",
                    tolerance="0", agrees=False,
                )],
            )
        ],
        tables={},
    )  # fmt: skip


def test_a_sheet_is_shown_with_the_hash_of_its_file_and_its_counts():
    made = provenance_of(Origin("Plant", "0.1.0", manifest()), {"checks": 9})
    file = made.files[0]
    assert file.name == 'book.xlsx, sheet "March"'
    assert file.sha256 == "c0" * 32
    assert file.tables == "checks, measurements"
    assert file.balances
    assert file.notes == ("2 lines skipped: totals row",)
    assert made.refused_total == 2


def test_a_control_total_that_disagrees_asks_why():
    made = provenance_of(Origin("Plant", "0.1.0", manifest()), {})
    assert made.files[0].control == "pieces 4540, but 4543 is stated (shift report): ask why"


def test_shown_refused_rows_are_capped_and_the_total_is_not():
    rows = tuple(RefusedRow(f"row {n}", "", "no time") for n in range(150))
    made = provenance_of(Origin("Plant", "0.1.0", manifest(), refused=rows), {})
    assert len(made.refused) == 100
    assert made.refused_total == 2


def test_refused_rows_are_read_from_the_freeze_and_name_nobody(tmp_path):
    head = "file,sheet,row,column,value,reason,canonical_table,canonical_column,raw_row"
    rows = [
        "book.xlsx,March,41,Duration,1:75,no duration,checks,done_at,x",
        "book.xlsx,,42,Name,A. Person,no such person,checks,done_by,x",
    ]
    (tmp_path / "refused.csv").write_text("\n".join([head, *rows]), encoding="utf-8")
    mapping = tmp_path / "mapping.toml"
    mapping.write_text("[source]", encoding="utf-8")
    made = origin_of(Freeze(tmp_path, "ab", manifest()), "Plant", mapping)
    assert made.mapping == "[source]"
    assert made.refused == (
        RefusedRow('book.xlsx, sheet "March", row 41, column "Duration"', "1:75", "no duration"),
        RefusedRow('book.xlsx, row 42, column "Name"', "", "no such person"),
    )


def test_a_freeze_without_refused_rows_has_none_to_show(tmp_path):
    assert origin_of(Freeze(tmp_path, "ab", manifest()), "Plant").refused == ()


def test_tables_in_memory_have_no_file_to_go_back_to():
    made = provenance_of(Origin("Plant", "0.1.0"), {"runs": 2})
    assert made.files == ()
    assert made.tables == (("runs", 2),)

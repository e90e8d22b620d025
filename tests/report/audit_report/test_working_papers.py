"""The workbook and the JSON: the same values, texts as texts, nothing of a protected source."""

import json
from dataclasses import fields
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import load_workbook
from tests.report.audit_report.plant_audit import AUDIT, FORMULA, FREEZE, LEAD, new_desk, sources_of

from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.report.audit_report.papers import papers_of
from witnessmark.report.audit_report.values import AuditReport

DOCS = Path(__file__).parents[3] / "docs" / "reference" / "audit_report.md"


@pytest.fixture(scope="module")
def papers(sources):
    return papers_of(sources)


@pytest.fixture(scope="module")
def book(papers):
    return load_workbook(BytesIO(papers.workbook()))


@pytest.fixture(scope="module")
def told(papers):
    return json.loads(papers.json())


def cells(book):
    return [cell for sheet in book for row in sheet.iter_rows() for cell in row]


def test_a_text_that_looks_like_a_formula_stays_a_text(book):
    (cell,) = [one for one in cells(book) if str(one.value).startswith(FORMULA)]
    assert cell.data_type == "s"
    assert not any(one.data_type == "f" or one.hyperlink for one in cells(book))


def test_no_cell_tells_of_a_protected_source(book, told):
    for text in [json.dumps(told, ensure_ascii=False), *(str(one.value) for one in cells(book))]:
        assert "KINGFISHER" not in text
        assert "whistling temp" not in text


def test_the_journals_list_keeps_the_place_of_what_it_hides(told, sources):
    rows = told["working_papers"]["journal"]["rows"]
    assert [row["entry"] for row in rows] == list(range(1, len(sources.received) + 1))
    assert [row["entry_hash"] for row in rows] == [one.entry.hash for one in sources.received]
    bare = [row for row in rows if not row["kind"]]
    assert len(bare) == 3  # the statement, its answer, its link to a trail
    assert all(row["received_at"] == row["role"] == "" for row in bare)


def test_statements_have_neither_shift_nor_place_nor_hour(told):
    rows = told["working_papers"]["statements"]["rows"]
    assert {row["role"] for row in rows} == {"operator", "shift leader", "planner"}
    assert all(row["day"] == "Tue 1 Dec 2026" for row in rows)
    assert not {"shift", "place"} & set(rows[0])
    journal = told["working_papers"]["journal"]["rows"]
    heard = [row for row in journal if row["kind"] == "statement-heard"]
    assert {row["written_at"] for row in heard} == {"Tue 1 Dec 2026"}


def test_requests_tell_what_had_changed(told):
    rows = told["working_papers"]["requests"]["rows"]
    assert rows[0]["changed"] == "dated the day after it was asked for"
    assert rows[1]["received"] == ""


def test_contradicting_evidence_is_listed(told):
    texts = json.dumps(told["working_papers"]["against"]["rows"])
    assert "grid/T-09: watched" in texts
    assert "handover-incomplete" in texts


def test_populations_and_limits_carry_what_another_value_would_change(told):
    populations = {row["test"]: row for row in told["working_papers"]["populations"]["rows"]}
    assert populations["check-interval-exceeded"]["population"] == 15812
    assert populations["check-interval-exceeded"]["not_assessable"] == "no record: 12"
    (grace,) = [r for r in told["working_papers"]["limits"]["rows"] if r["default"] == "yes"]
    assert (grace["varied_to"], grace["exceptions_varied"]) == (0.2, 112)


def test_exceptions_are_capped_with_their_total_and_told_on_the_plants_clock(told, book):
    sheet = told["working_papers"]["exceptions"]
    assert sheet["total"] == 433
    assert len(sheet["rows"]) == 1
    assert "2026-10-01 03:00" in sheet["rows"][0]["sentence"]
    assert book["Exceptions"]["A3"].value == "1 of 433 rows are shown."


def test_every_sheet_has_a_column_for_each_cell(papers):
    for sheet in papers.sheets:
        assert len(sheet.columns) == len(sheet.keys) == len(set(sheet.keys))
        assert all(len(row) == len(sheet.keys) for row in sheet.rows), sheet.name


def test_json_has_the_keys_in_the_order_of_the_values(told):
    assert list(told) == ["form", "report", "working_papers"]
    assert list(told["report"]) == [one.name for one in fields(AuditReport)]
    assert "svg" not in json.dumps(told)


def test_every_key_is_documented(told):
    page = DOCS.read_text("utf-8")
    missing = {key for key in keys(told) if f"`{key}`" not in page}
    assert not missing


def keys(value):
    if isinstance(value, dict):
        for key, item in value.items():
            yield key
            yield from keys(item)
    elif isinstance(value, list):
        for item in value:
            yield from keys(item)


def test_an_empty_audit_gives_papers_too():
    desk = new_desk()
    desk.act(AUDIT, LEAD, OpenAudit(title="Empty", process="turning"))
    papers = papers_of(sources_of(desk))
    book = load_workbook(BytesIO(papers.workbook()))
    assert book["Journal"].max_row == 5
    assert papers.numbers == ()
    with pytest.raises(KeyError):
        papers.record(1)


def test_the_freeze_is_named_with_each_number(told):
    assert all(
        row["freeze"] == FREEZE[:12] for row in told["working_papers"]["populations"]["rows"]
    )
    assert LEAD.user not in {row["role"] for row in told["working_papers"]["journal"]["rows"]}

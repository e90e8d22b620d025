"""The PDFs: measure, marks, words, bytes."""

from dataclasses import replace
from datetime import UTC, datetime
from io import BytesIO

import pytest
from pypdf import PdfReader
from tests.report.audit_report.plant_audit import (
    AUDIT,
    FREEZE,
    LEAD,
    MEMORY_CLAUSE,
    made_up_outcomes,
    new_desk,
    sources_of,
)

from witnessmark.audit.actions.declare_limitation import DeclareLimitation
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.cited import Fact, Requirement
from witnessmark.report.audit_report.layout import MEASURES, MOST_PAGES, page_data
from witnessmark.report.audit_report.papers import papers_of
from witnessmark.report.audit_report.typeset import TypesettingError, breakable, typeset
from witnessmark.report.audit_report.values import TeamMember


def read(pdf):
    return PdfReader(BytesIO(pdf))


def text_of(pdf):
    """The text without line breaks and with plain spaces."""
    text = " ".join(page.extract_text() for page in read(pdf).pages)
    return " ".join(text.replace("\u202f", " ").replace("\u200b", "").split())


def main_pages(pdf):
    """Pages before the annex, from the bookmarks."""
    reader = read(pdf)
    (annex,) = [entry for entry in flat(reader.outline) if entry.title == "Annex"]
    return reader.get_destination_page_number(annex)


def flat(outline):
    for entry in outline:
        if isinstance(entry, list):
            yield from flat(entry)
        else:
            yield entry


@pytest.fixture(scope="module")
def papers(sources):
    return papers_of(sources)


@pytest.fixture(scope="module")
def pdf(papers):
    return papers.pdf()


@pytest.fixture(scope="module")
def records(papers):
    """Each record by the number of its finding."""
    return {number: papers.record(number) for number in papers.numbers}


def test_the_main_part_has_eight_pages_at_most(pdf):
    assert 1 <= main_pages(pdf) <= MOST_PAGES


def test_it_is_tagged_archival_and_accessible(pdf):
    catalogue = read(pdf).trailer["/Root"]
    assert catalogue["/MarkInfo"]["/Marked"].value is True
    assert "/StructTreeRoot" in catalogue
    assert catalogue["/Lang"] == "en"
    xmp = catalogue["/Metadata"].get_object().get_data().decode()
    assert "<pdfaid:part>2</pdfaid:part>" in xmp
    assert "<pdfaid:conformance>A</pdfaid:conformance>" in xmp
    assert "<pdfuaid:part>1</pdfuaid:part>" in xmp


def test_the_same_journal_gives_the_same_bytes(papers, pdf, records, sources):
    again = papers_of(sources)
    assert pdf == again.pdf()
    assert records[1] == again.record(1)
    assert papers.workbook() == again.workbook()
    assert papers.json() == again.json()


def test_only_the_shipped_typeface_and_its_fallback_are_in_it(pdf):
    fonts = {
        str(font.get_object()["/BaseFont"]).split("+")[-1]
        for page in read(pdf).pages
        for font in page["/Resources"].get("/Font", {}).values()
    }
    assert fonts
    assert all(name.startswith(("SourceSansPro", "DejaVuSansMono")) for name in fonts)


def test_every_findings_x_of_n_stands_in_the_text(pdf, report):
    text = text_of(pdf)
    counted = [fact.counted for one in report.findings for fact in one.facts]
    assert len(counted) == 4
    for said in counted:
        assert said.replace("\u202f", " ") in text


def test_every_page_names_the_audit_the_head_and_its_number(pdf, report):
    pages = read(pdf).pages
    for number, page in enumerate(pages, 1):
        text = " ".join(page.extract_text().split())
        assert report.title.audit in text
        assert report.title.head in text
        assert f"Page {number} of {len(pages)}" in text
        assert "DRAFT" in text


def test_an_issued_report_is_no_draft(sources):
    assert "draft" not in text_of(papers_of(sources, issued=True).pdf()).casefold()


def test_nothing_of_a_protected_source_is_in_any_paper(papers, pdf, records):
    texts = [
        text_of(pdf),
        papers.json().decode(),
        *map(text_of, records.values()),
        *(str(cell) for sheet in papers.sheets for row in sheet.rows for cell in row),
    ]
    for text in texts:
        for hidden in ("KINGFISHER", "copy the sheet", "whistling temp", "behind hall 2"):
            assert hidden not in text


def test_a_clause_from_memory_is_in_no_pdf(pdf, records):
    assert MEMORY_CLAUSE not in text_of(pdf)
    assert MEMORY_CLAUSE not in text_of(records[1])
    assert "ISO 9001 8.7" in text_of(records[2])


def test_a_record_has_one_or_two_pages_and_leaves_room_for_a_hand(records):
    assert all(len(read(record).pages) <= 2 for record in records.values())
    text = text_of(records[3])
    for label in ("Containment, since when", "Why it was not noticed", "Similar machines"):
        assert label in text
    answered = text_of(records[1])
    assert "The sheet shows no running time." in answered
    assert "4 in 3,900 assessed gaps" in answered


def test_markup_in_a_text_stays_a_text():
    desk = new_desk()
    desk.act(AUDIT, LEAD, OpenAudit(title='#panic("x") *bold* $1/0$ <annex>', process="p"))
    assert '#panic("x") *bold* $1/0$ <annex>' in text_of(papers_of(sources_of(desk)).pdf())


def test_an_empty_audit_gives_a_report():
    desk = new_desk()
    desk.act(AUDIT, LEAD, OpenAudit(title="Empty", process="turning"))
    text = text_of(papers_of(sources_of(desk)).pdf())
    assert "so nothing is concluded" in text
    assert "Independence Not stated." in text
    assert "No record tests were run." in text


@pytest.fixture(scope="module")
def huge():
    """Nine findings and eighteen limitations of a length nobody would write."""
    desk = new_desk()
    desk.act(AUDIT, LEAD, OpenAudit(title="Long " * 40, process="p" * 400))
    for number in range(9):
        desk.act(
            AUDIT,
            LEAD,
            DraftFinding(
                requirement=Requirement(document="Document " * 30, revision="7"),
                statement=f"S{number} " + "was not met anywhere at all " * 40,
                facts=tuple(Fact("word" * 200, number, 999, "p " * 60, "s " * 60) for _ in "ab"),
                extent="x" * 1500,
                consequence="consequence " * 90,
                suspect_product=number % 2 == 0,
            ),
        )
        for kind in "ab":
            desk.act(
                AUDIT,
                LEAD,
                DeclareLimitation(what=f"{kind}{number} " + "what " * 80, why="why " * 80),
            )
    return papers_of(sources_of(desk, {FREEZE: made_up_outcomes()}))


@pytest.fixture(scope="module")
def huge_pdf(huge):
    return huge.pdf()


def test_very_long_texts_stay_within_eight_pages_and_stand_whole_in_the_annex(huge_pdf):
    assert main_pages(huge_pdf) <= MOST_PAGES
    text = text_of(huge_pdf)
    for number in (0, 8):
        assert f"{number} of 999" in text
        assert f"b{number} what what" in text
    assert "more in the annex" in text


def test_no_text_leaves_the_page(huge_pdf):
    reader = read(huge_pdf)
    width = float(reader.pages[0].mediabox.width)
    for page in reader.pages:
        starts = []
        page.extract_text(
            visitor_text=lambda text, _, matrix, *__, at=starts: at.append((matrix[4], text))
        )
        assert all(x < width for x, text in starts if text.strip())


def test_a_smaller_measure_says_what_it_left_out(huge):
    data = page_data(huge.report, MEASURES[-1])
    assert data["cut"] is True
    assert len(data["main"]["findings"]) == MEASURES[-1].findings
    assert data["main"]["more"]["findings"] == "3 more in the annex."
    assert len(data["full"]["findings"]) == 9


def test_whatever_a_measure_cuts_stands_whole_in_the_annex(huge):
    long = "because " * 300
    conclusions = tuple(replace(one, reason=long) for one in huge.report.conclusions)
    team = (TeamMember("auditor", "f", "i " * 900, "c " * 900),) * 9
    report = replace(huge.report, conclusions=conclusions, team=team)
    full = page_data(report, MEASURES[-1])["full"]
    assert [text for _, text in full["rest"]].count(long) == 6
    assert sum("i i i" in text for _, text in full["rest"]) == 9


def test_signs_without_a_glyph_become_a_box_that_is_explained():
    desk = new_desk()
    desk.act(AUDIT, LEAD, OpenAudit(title="検査 \U0001f600 Ω ž", process="p"))
    text = text_of(papers_of(sources_of(desk)).pdf())
    assert "□□ □ Ω ž" in text
    assert "A box □ stands for a character" in text


def test_what_the_compiler_says_is_told():
    with pytest.raises(TypesettingError, match="could not be set"):
        typeset("report.typ", [{"words": {}}], datetime(2026, 1, 1, tzinfo=UTC))


def test_a_hash_stays_whole_and_a_long_word_can_break():
    assert breakable("a" * 64) == "a" * 64
    assert "\u200b" in breakable("w" * 100)

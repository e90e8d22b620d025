"""A whole audit by clicks: from the empty list, over a statement on the floor, to the PDF.

Whoever has audited factories and never seen the tool does this; nothing is set up behind the page.
"""

import io

import pytest
from pypdf import PdfReader
from tests.web.working_audit import FILES, run_at_once

WORDS = "The micrometer is fine, we calibrated it last year."


@pytest.fixture
def at_once(monkeypatch):
    """Long work is done while the page waits."""
    run_at_once(monkeypatch)


@pytest.fixture
def page(user, desks, at_once):
    """The desk of a laptop's only user."""
    page = desks.open(user)
    page.goto(desks.address)
    return page


def press(page, name, role="button"):
    page.get_by_role(role, name=name, exact=True).first.click()


def open_the_audit(page):
    press(page, "Open an audit", "link")
    page.get_by_label("Title").fill("Bar turning, June")
    page.get_by_label("Process").fill("turning")
    page.get_by_label("Time zone of the plant").select_option("Europe/Berlin")
    press(page, "Open the audit")
    press(page, "Preparation", "link")
    press(page, "State the criteria", "link")
    page.get_by_label("Document").first.fill("WI-030 Gauges")
    page.get_by_label("Revision").first.fill("4")
    page.locator("main form button[type=submit]").last.click()
    page.get_by_text("WI-030 Gauges").first.wait_for()


def hear(page):
    page.get_by_role("link", name="Said").first.click()
    page.locator("main a.primary").first.click()
    page.locator("[name=role]").fill("operator")
    page.locator("[name=words]").fill(WORDS)
    page.locator("[name=read_back]").first.check()
    page.locator("main form button[type=submit]").first.click()
    page.get_by_text(WORDS).first.wait_for()


def take_in_records(page, tmp_path):
    for name, text in FILES.items():
        (tmp_path / name).write_text(text)
    page.get_by_role("link", name="Records").first.click()
    press(page, "Take in records", "link")
    page.locator("input[type=file]").set_input_files([tmp_path / name for name in FILES])
    press(page, "Take them in")
    page.get_by_role("link", name="Records").first.click()
    page.locator("main .entries a").first.click()
    page.locator("main a[href*='/tests/gauge-overdue/']").first.click()


def follow_the_trail(page):
    page.locator("main a.primary", has_text="trail").first.click()
    page.locator("[name=proposition]").fill("A micrometer was used past its due date.")
    page.locator("[name=rival]").fill("It was calibrated in time, and the register lags behind.")
    press(page, "Open it")
    press(page, "Lay evidence on it", "link")
    page.locator("label.offer", has_text=WORDS[:30]).get_by_role("radio").check()
    press(page, "Go on with it")
    page.locator("[name=bears][value=against]").check()
    press(page, "Lay it there")
    page.get_by_text(WORDS[:30]).first.wait_for()
    press(page, "End it", "link")
    for row in page.locator("ol.judging li").all():
        row.get_by_role("checkbox").check()
        row.get_by_role("textbox").fill("Looked at, with the gauge keeper.")
    page.locator("[name=verdict][value=supported]").check()
    page.locator("[name=conclusion]").fill("The micrometer was past its date.")
    press(page, "End it")
    page.get_by_text("The trail has ended").wait_for()


def raise_the_finding(page):
    press(page, "Draft a finding from it", "link")
    page.get_by_label("What was not met").fill("A gauge was used past its due date.")
    page.get_by_label("Requirement: document").fill("WI-030 Gauges")
    page.get_by_label("Revision valid then").fill("4")
    press(page, "Keep the draft")
    press(page, "Grade it", "link")
    page.get_by_label("Was a stated requirement not met?").select_option("yes")
    press(page, "See what this proposes")
    page.get_by_role("radio", name="Minor nonconformity").check()
    page.get_by_label("Why, in your own words").fill("One gauge, two measurements.")
    press(page, "Decide the grade")
    press(page, "Issue it", "link")
    press(page, "Issue it")
    page.get_by_text("The finding is issued.").wait_for()


def papers(page):
    page.get_by_role("link", name="Closing").first.click()
    press(page, "Reports", "link")
    press(page, "Make a draft")
    page.get_by_role("link", name="Witnessmark").first.click()
    press(page, "Bar turning, June", "link")
    page.get_by_role("link", name="Closing").first.click()
    press(page, "Reports", "link")
    with page.expect_download() as waiting:
        page.locator("main a[download][href$='.pdf']").first.click()
    return PdfReader(io.BytesIO(waiting.value.path().read_bytes()))


def test_from_a_statement_on_the_floor_to_a_finding_in_the_pdf(page, tmp_path):
    open_the_audit(page)
    hear(page)
    take_in_records(page, tmp_path)
    follow_the_trail(page)
    raise_the_finding(page)
    text = " ".join("\n".join(sheet.extract_text() for sheet in papers(page).pages).split())
    assert "A gauge was used past its due date." in text
    assert "2 of 2" in text
    assert "WI-030 Gauges" in text
    assert "It was calibrated in time" in text

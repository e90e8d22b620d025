"""The pages around an audit in a real browser: by keyboard, by ear, at every width, in the dark."""

import pytest
from tests.web.accessible import check_page
from tests.web.one_audit import SLUG, make_people, open_audit, outcome

from witnessmark.audit.actions.declare_limitation import DeclareLimitation
from witnessmark.audit.actions.judge_response import JudgeResponse
from witnessmark.audit.actions.respond_to_finding import RespondToFinding
from witnessmark.audit.actions.set_criteria import CriterionBody, SetCriteria
from witnessmark.audit.actions.set_scope import SetScope
from witnessmark.audit.actions.start_route import StartRoute
from witnessmark.audit.cited import Cited

LEADS = (
    ("preparation",), ("set-scope",), ("set-criteria",), ("set-site-rules",), ("join-member",),
    ("letter",), ("machine-card",), ("handover-card",), ("findings",), ("closing",), ("reports",),
    ("declare-limitation",), ("conclude", "staffed"), ("close-audit",), ("meeting-sheet",),
    ("journal",),
)  # fmt: skip
OF_A_FINDING = (
    "finding", "acknowledge-facts", "withdraw-finding", "start-route", "acknowledge-route",
    "judge-response", "verify-finding", "close-finding", "key-in-response", "entry",
)  # fmt: skip
OF_A_DRAFT = ("finding", "reword-finding", "grade-finding", "issue-finding")
AUDITEES = ("answer", "respond", "answer-facts", "answer-route")


@pytest.fixture
def audit(database, web):
    """An audit with something on every page."""
    made = open_audit(make_people(), web)
    made.do(SetScope(text="All.", areas=("T1",), shifts=("early 05:30-13:30",), machines=("T7",)))
    made.do(SetCriteria(documents=(CriterionBody(document="CP-1", revision="7"),)))
    made.do(DeclareLimitation(what="The weekend.", why="Not there."))
    freeze = made.take_in("a" * 32, [outcome(46, 212)])
    made.hear("Checks are made every two hours.")
    cited = Cited("outcome", freeze=freeze, slug=SLUG, exceptions=46, assessed=212, digest="d" * 64)
    made.supported = made.trail(cited)
    made.issued_one = made.issued()
    made.do(StartRoute(finding=made.issued_one, product="Lots L1", informed_role="quality"))
    made.do(RespondToFinding(finding=made.issued_one, containment="Held."), "auditee")
    made.do(JudgeResponse(finding=made.issued_one, verdict="returned", reason="No cause."))
    made.do(RespondToFinding(finding=made.issued_one, action="A rule."), "auditee")
    made.draft = made.finding(statement="A draft of another one.")
    return made


def addresses(audit):
    """Every page of the lead, then of the auditee."""
    yield "lead", "/"
    yield "lead", "/audit/new/"
    for name, *arguments in LEADS:
        yield "lead", audit.url(name, *arguments)
    yield "lead", audit.url("draft-finding") + f"?trail={audit.supported}"
    yield "lead", audit.url("machine-card") + "?machine=T7&records="
    yield "lead", audit.url("handover-card") + "?area=T1&change_at=&records="
    for name in OF_A_FINDING:
        yield "lead", audit.url(name, audit.issued_one)
    for name in OF_A_DRAFT:
        yield "lead", audit.url(name, audit.draft)
    mark = next(iter(audit.state.statements.values())).words_sealed
    yield "lead", audit.url("destroy-text", mark)
    yield "auditee", "/"
    yield "auditee", audit.url("answers")
    for name in AUDITEES:
        yield "auditee", audit.url(name, audit.issued_one)


def test_every_page_is_accessible_and_fits(audit, desks):
    pages = {who: desks.open(audit.users[who]) for who in ("lead", "auditee")}
    for who, address in addresses(audit):
        assert pages[who].goto(desks.address + address).status == 200, address
        check_page(pages[who], address)


def test_from_a_trail_to_an_issued_finding_by_clicks(audit, desks):
    page = desks.open(audit.users["lead"])
    page.goto(desks.address + audit.url("findings"))
    page.get_by_role("link", name="Draft a finding from it").click()
    page.get_by_text("46 of 212").wait_for()
    page.get_by_label("Requirement: document").fill("Control plan CP-114")
    page.get_by_label("Revision valid then").fill("7")
    page.get_by_role("button", name="Check the statement").click()
    page.get_by_text("As it stands in the form now").wait_for()
    page.get_by_role("button", name="Keep the draft").click()
    page.get_by_role("link", name="Grade it").click()
    page.get_by_label("Was a stated requirement not met?").select_option("yes")
    page.get_by_role("button", name="See what this proposes").click()
    page.get_by_role("heading", name="Proposed: minor nonconformity").wait_for()
    page.get_by_role("radio", name="Minor nonconformity").check()
    page.get_by_label("Why, in your own words").fill("Limited to one row.")
    page.get_by_role("button", name="Decide the grade").click()
    page.get_by_role("link", name="Issue it").click()
    page.get_by_role("button", name="Issue it").click()
    page.get_by_text("The finding is issued.").wait_for()
    last = list(audit.state.findings.values())[-1]
    assert (last.state, last.facts[0].x, last.facts[0].n) == ("issued", 46, 212)


def test_an_auditee_answers_without_script(audit, desks):
    page = desks.open(audit.users["auditee"], java_script_enabled=False)
    page.goto(desks.address)
    page.get_by_role("link", name="Checks were not made.").click()
    page.get_by_role("link", name="Answer again").click()
    page.get_by_label("Containment").fill("All baskets since 06:00, H2.")
    page.get_by_label("Cause: why the system allowed it").fill("No rule for that.")
    page.get_by_role("button", name="Send the answer").click()
    page.get_by_text("All baskets since 06:00, H2.").wait_for()
    responses = audit.state.findings[audit.issued_one].responses
    assert responses[-1].cause_system == "No rule for that."


def test_a_limitation_is_declared_by_keyboard_alone(audit, desks):
    page = desks.open(audit.users["lead"])
    page.goto(desks.address + audit.url("declare-limitation"))
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
    page.keyboard.press("Enter")
    for _ in range(20):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == "what":
            break
    page.keyboard.type("The night shift.")
    page.keyboard.press("Tab")
    page.keyboard.type("Not there.")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    seen = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert seen == "solid"
    page.keyboard.press("Enter")
    page.get_by_text("It is declared.").wait_for()
    assert [item.what for item in audit.state.limitations.values()][-1] == "The night shift."


@pytest.mark.parametrize("name", ["meeting-sheet", "letter"])
def test_what_is_for_paper_prints_on_a_press(audit, desks, name):
    page = desks.open(audit.users["lead"])
    page.goto(desks.address + audit.url(name))
    page.evaluate("window.print = () => document.body.setAttribute('data-printed', 'yes')")
    page.get_by_role("button", name="Print it").click()
    assert page.locator("body").get_attribute("data-printed") == "yes"
    page.emulate_media(media="print")
    assert not page.get_by_role("button", name="Print it").is_visible()
    assert not page.locator("nav.tabs").is_visible()

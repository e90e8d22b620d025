"""The working pages in a real browser: by keyboard, by ear, at every width, in the dark."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from tests.web.accessible import check_page
from tests.web.working_audit import open_working_audit, run_at_once, sent

from witnessmark.audit.actions.answer_statement import AnswerStatement
from witnessmark.audit.actions.close_trail import CloseTrail
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.plan_appointment import PlanAppointment
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.actions.request_evidence import RequestEvidence
from witnessmark.audit.actions.settle_promise import SettlePromise
from witnessmark.audit.actions.transcribe_document import TranscribeDocument
from witnessmark.audit.cited import Cited

SLUG = "gauge-overdue"
AT = {"starts_at": "2031-07-01T07:00:00Z", "ends_at": "2031-07-01T07:30:00Z"}
LONG = "Somebody regularly looks after the machines at night, " * 6 + "x" * 90


@pytest.fixture
def audit(database, monkeypatch):
    """An audit with something on every page."""
    run_at_once(monkeypatch)
    made = open_working_audit()
    answer = made.post("take-in", exports=sent(), purpose="audit")
    assert answer.status_code == 302, answer.content.decode()
    made.work = answer.headers["Location"]
    (made.freeze,) = made.state.freezes
    made.said = made.do(HearStatement(role="shift leader", place="T1"), words=LONG)
    made.seen = made.do(
        MakeObservation(
            form="round", values={"grid": {"T1-02": "running"}}, seen_at="2026-03-03T10:00:00Z"
        )
    )
    made.do(HearStatement(role="packer", protected=True), words="They told us so.")
    made.do(TranscribeDocument(title="CP-114"), text="Every 2 h of running.")
    made.trail = made.do(OpenTrail(proposition=LONG, rival="It is written elsewhere. " * 4))
    outcome = Cited("outcome", freeze=made.freeze, slug=SLUG, exceptions=2, assessed=2)
    for cited in (Cited("statement", id=made.said), Cited("observation", id=made.seen), outcome):
        made.do(LinkEvidence(trail=made.trail, cited=cited, bears="against", group="g", note="n"))
    made.do(AnswerStatement(statement=made.said, how="records", result="partly", cited=outcome))
    made.ended = made.do(OpenTrail(proposition="It ended."))
    made.do(CloseTrail(trail=made.ended, verdict="transferred", conclusion="To safety."))
    made.promised = made.do(PromiseStep(what="See it", latest="2031-01-01T10:00:00Z"))
    made.do(SettlePromise(promise=made.do(PromiseStep(what="Saw it")), outcome="done"))
    made.asked = made.do(RequestEvidence(what="The sheet", seen_when_asked="Row 4 is blank."))
    made.planned = made.do(PlanAppointment(what="Planner", **AT))
    made.post("hold-against", made.freeze)
    return made


def addresses(audit):
    """Every working page."""
    for name in ("spine", "said", "seen", "records", "asked", "promises"):
        yield audit.url(name)
    yield audit.url("spine", show="all")
    yield audit.url("agenda", left="40")
    for name in ("open-trail", "hear", "take-photo", "transcribe", "ask-for", "promise", "plan"):
        yield audit.url(name)
    yield audit.url("take-in")
    for form in ("free", "staffing", "machine-state", "last-check", "hold-area"):
        yield audit.url("observe", form)
    for name in ("trail", "word-trail", "close-trail", "trail-history"):
        yield audit.url(name, audit.trail)
    yield audit.url("trail", audit.ended)
    yield audit.url("lay", trail=audit.trail)
    yield audit.url("lay", cited=f"statement:{audit.said}")
    yield audit.url("lay", trail=audit.ended, cited=f"statement:{audit.said}")
    yield audit.url("open-trail", **{"from": f"row:{audit.freeze}:{SLUG}:c1/10/1"})
    for name in ("statement", "correct-statement"):
        yield audit.url(name, audit.said)
    yield audit.url("answer-statement", audit.said, how="records")
    yield audit.url("seen-item", audit.seen)
    yield audit.url("correct-observation", audit.seen)
    yield audit.work
    yield audit.url("freeze", audit.freeze)
    yield audit.url("outcome", audit.freeze, SLUG)
    yield audit.url("row", audit.freeze, SLUG, ref="c1/10/1", draw="1")
    for name in ("request", "receive"):
        yield audit.url(name, audit.asked)
    yield audit.url("settle", audit.promised)
    for name in ("move", "drop"):
        yield audit.url(name, audit.planned)


def test_every_page_is_accessible_and_fits(audit, desks):
    page = desks.open(audit.accounts["lead"])
    for address in addresses(audit):
        assert page.goto(desks.address + address).status == 200, address
        check_page(page, address)


def test_an_audit_without_anything_in_it_is_accessible(database, desks):
    made = open_working_audit()
    page = desks.open(made.accounts["lead"])
    for name in ("spine", "said", "seen", "records", "asked", "promises", "agenda"):
        page.goto(desks.address + made.url(name))
        found = Axe().run(page)
        assert found.violations_count == 0, (name, found.generate_report())


def test_the_three_columns_stand_one_below_the_other_on_a_phone(audit, desks):
    page = desks.open(audit.accounts["lead"])
    page.goto(desks.address + audit.url("spine"))
    pillars = page.locator(".strand").first.locator(".pillar")
    wide = [pillars.nth(number).bounding_box() for number in range(3)]
    assert wide[0]["x"] < wide[1]["x"] < wide[2]["x"]
    assert len({box["y"] for box in wide}) == 1
    page.set_viewport_size({"width": 390, "height": 844})
    narrow = [pillars.nth(number).bounding_box() for number in range(3)]
    assert narrow[0]["y"] < narrow[1]["y"] < narrow[2]["y"]
    for word in ("Said", "Seen", "Recorded"):
        assert page.locator(".strand").first.get_by_role("heading", name=word).is_visible()


def press_to(page, role, name):
    """Goes by the tab key alone to a control, and says whether it shows that it has the focus."""
    wanted = page.get_by_role(role, name=name, exact=True).first
    for _ in range(160):
        page.keyboard.press("Tab")
        if wanted.evaluate("element => element === document.activeElement"):
            outline = wanted.evaluate("element => getComputedStyle(element).outlineStyle")
            assert outline != "none", name
            return
    raise AssertionError(f"{name} is not reached by the keyboard")


def test_a_trail_is_opened_fed_and_ended_by_the_keyboard(audit, desks):
    page = desks.open(audit.accounts["lead"])
    page.goto(desks.address + audit.url("statement", audit.said))
    press_to(page, "link", "Open a trail from it")
    page.keyboard.press("Enter")
    press_to(page, "textbox", "Proposition")
    page.keyboard.type("Nobody looks after the machines at night.")
    press_to(page, "textbox", "The innocent reading (may stay empty)")
    page.keyboard.type("The watcher signs elsewhere.")
    press_to(page, "button", "Open it")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Nobody looks after").wait_for()
    press_to(page, "link", "End it")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="End the trail").wait_for()
    page.keyboard.press("Tab")
    verdict = page.locator("#id_verdict_2")
    for _ in range(80):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == "verdict":
            break
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    assert verdict.is_checked()
    press_to(page, "textbox", "What is concluded")
    page.keyboard.type("It could not be told.")
    press_to(page, "button", "End it")
    page.keyboard.press("Enter")
    page.get_by_text("as a limitation").wait_for()
    press_to(page, "textbox", "Limitation (may stay empty)")
    page.keyboard.type("No night was seen.")
    press_to(page, "button", "End it")
    page.keyboard.press("Enter")
    page.get_by_text("The trail has ended").wait_for()
    last = list(audit.state.trails.values())[-1]
    assert (last.state, last.limitation) == ("undetermined", "No night was seen.")
    assert len(last.considered) == 1


def test_the_staffing_board_works_without_script(audit, desks):
    page = desks.open(
        audit.accounts["lead"], java_script_enabled=False, viewport={"width": 390, "height": 844}
    )
    page.goto(desks.address + audit.url("observe", "staffing"))
    row = page.get_by_role("radiogroup", name="T1-01")
    box = row.get_by_role("radio", name="nobody").bounding_box()
    assert box["height"] >= 44
    row.get_by_role("radio", name="nobody").check()
    page.get_by_role("radiogroup", name="T1-02").get_by_role("radio", name="watched").check()
    page.get_by_role("button", name="Keep the observation").click()
    page.get_by_role("heading", name="Who is at which machine").wait_for()
    last = list(audit.state.observations.values())[-1]
    assert last.values == {"grid": {"T1-01": "nobody", "T1-02": "watched"}}


def test_from_a_row_to_a_trail_and_one_step_back_to_the_ribbon(audit, desks):
    page = desks.open(audit.accounts["lead"])
    page.goto(desks.address + audit.url("outcome", audit.freeze, SLUG))
    page.locator("main a", has_text="Measurement c1/10/1").first.click()
    page.locator(".ribbon svg").wait_for()
    page.get_by_role("link", name="Open a trail from this").click()
    page.get_by_role("textbox", name="Proposition").fill("A gauge was used past its date.")
    page.get_by_role("button", name="Open it").click()
    page.locator("main a", has_text="Measurement c1/10/1").click()
    page.locator(".ribbon svg").wait_for()
    page.get_by_role("link", name="A gauge was used past its date.").wait_for()


def test_the_working_paper_keeps_its_look_under_its_own_policy(audit, desks):
    page = desks.open(audit.accounts["lead"])
    page.goto(desks.address + audit.url("working-paper", audit.freeze))
    assert page.evaluate("getComputedStyle(document.querySelector('dl.facts')).display") == "grid"
    assert page.evaluate("self.origin") == "null"


def test_a_window_counts_down_while_somebody_looks(audit, desks):
    page = desks.open(audit.accounts["lead"])
    page.clock.install()
    page.goto(desks.address + audit.url("promises"))
    shown = page.locator("time[data-until]").last
    before = shown.inner_text()
    page.clock.fast_forward(72 * 3600 * 1000)
    page.wait_for_timeout(100)
    assert shown.inner_text() != before
    assert shown.inner_text().startswith("closes in ")

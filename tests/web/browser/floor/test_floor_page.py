"""The page in the hand: forms, promises, rules of the site, sizes, assistive technology."""

from datetime import timedelta

from tests.web.accessible import check_schemes
from tests.web.browser.floor.conftest import UNSAFE_NAME
from tests.web.browser.floor.hands import all_sent, hear

from witnessmark.audit.act import now
from witnessmark.audit.actions.plan_appointment import PlanAppointment
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.actions.set_site_rules import SetSiteRules
from witnessmark.audit.event import moment_of, written
from witnessmark.web.floor.captures import CAPTURES


def test_a_staffing_grid_is_tapped_and_learns_a_machine(hall, phone):
    page = hall.open(phone())
    page.get_by_role("link", name="Staffing").click()
    form = page.locator("#capture-staffing")
    form.get_by_label("Another machine").fill("M9")
    form.get_by_role("button", name="Add").click()
    for machine, word in (("M1", "Nobody"), ("M3", "Watched"), ("M9", "Attended")):
        form.get_by_role("group", name=machine, exact=True).get_by_label(word).check()
    form.get_by_text("3 of 4 marked").wait_for()
    form.get_by_role("button", name="Save").click()
    all_sent(page)
    (seen,) = hall.state.observations.values()
    assert seen.form == "staffing"
    assert seen.values["grid"] == {"M1": "nobody", "M3": "watched", "M9": "attended"}


def test_the_last_check_on_a_sheet_is_a_time_that_was(hall, phone):
    page = hall.open(phone())
    page.get_by_role("link", name="Last check").click()
    form = page.locator("#capture-last-check")
    form.get_by_role("button", name="M1").click()
    form.get_by_label("Entered for").fill("04:10")
    form.get_by_label("Blank").check()
    form.get_by_role("button", name="Save").click()
    all_sent(page)
    (seen,) = hall.state.observations.values()
    at = moment_of(seen.values["checked_at"])
    assert timedelta() <= now() - at <= timedelta(days=1)
    assert seen.values["result"] == "blank"


def test_what_is_needed_is_said_where_it_is_missing(hall, phone):
    page = hall.open(phone())
    page.get_by_role("link", name="Counted").click()
    form = page.locator("#capture-counter")
    form.get_by_label("Pieces").fill("12a")
    form.get_by_role("button", name="Save").click()
    assert form.locator(".wrong-word").all_inner_texts() == ["This is needed.", "Digits only."]
    assert not hall.state.observations


def test_promises_count_down_and_are_settled(hall, phone):
    soon, later = now() + timedelta(minutes=12, seconds=40), now() + timedelta(hours=4)
    hall.act(PromiseStep(what="Planner's list", latest=written(later)))
    hall.act(PromiseStep(what="Bar change on M2", latest=written(soon)))
    handover = PlanAppointment(
        what="Late", kind_of="handover", starts_at=written(later),
        ends_at=written(now() + timedelta(hours=5)),
    )  # fmt: skip
    hall.act(handover)
    page = hall.open(phone())
    entries = page.locator("[data-promises] > li")
    entries.nth(1).wait_for()
    assert [text.split("\n")[0] for text in entries.all_inner_texts()] == [
        "Bar change on M2", "Planner's list",
    ]  # fmt: skip
    assert "closes in 12 min" in entries.first.inner_text()
    page.locator("[data-handover]", has_text="Next handover in 3 h 59 min").wait_for()
    page.get_by_role("button", name="Done, or not: Bar change on M2").click()
    form = page.locator("#capture-settled")
    form.get_by_label("Impossible").check()
    form.get_by_role("button", name="Save").click()
    assert "Say why" in form.locator(".wrong-word").inner_text()
    form.get_by_label("Why").fill("the bar ran out early")
    form.get_by_role("button", name="Save").click()
    page.locator("[data-home]").wait_for(state="visible")
    all_sent(page)
    outcomes = {item.what: item.outcome for item in hall.state.promises.values()}
    assert outcomes == {"Bar change on M2": "impossible", "Planner's list": None}
    assert entries.count() == 1


def test_where_photos_are_not_allowed_there_is_no_camera(hall, phone):
    hall.act(SetSiteRules(photos="not-allowed", danger_role="safety officer"))
    page = hall.open(phone())
    assert page.get_by_role("link", name="Photo").count() == 0
    page.get_by_role("link", name="Saw").click()
    assert not page.locator("#saw-photos").is_visible()
    page.go_back()
    page.get_by_role("link", name="Danger").click()
    assert page.get_by_label("Whom you told (role)", exact=True).input_value() == "safety officer"
    page.go_back()
    page.get_by_role("link", name="Document").click()
    form = page.locator("#capture-document")
    form.get_by_label("Document", exact=True).fill("CP-114")
    form.get_by_role("button", name="Save").click()
    form.get_by_label("Receipt under which the plant keeps it").fill("R-7")
    form.get_by_role("button", name="Save").click()
    all_sent(page)
    (document,) = hall.state.documents.values()
    assert (document.title, document.receipt) == ("CP-114", "R-7")


def test_vague_words_prompt_and_stay_on_the_statement(hall, phone):
    page = hall.open(phone())
    hear(page, "somebody looks at it when needed", save=False)
    page.locator("[data-vague]", has_text="Who does it, in which role?").wait_for()
    page.locator("#capture-heard").get_by_role("button", name="Save").click()
    all_sent(page)
    (statement,) = hall.state.statements.values()
    assert statement.vague == ("somebody", "when needed")


def test_an_unencrypted_address_keeps_an_outbox_while_it_is_open_and_says_so(hall, chromium):
    address = f"http://{UNSAFE_NAME}:{hall.server.port}"
    context = chromium.new_context(viewport={"width": 390, "height": 844})
    hall.sign_in(context, address)
    page = context.new_page()
    hall.watch(page)
    page.goto(f"{address}/floor/{hall.audit}/")
    page.locator("[data-about]", has_text="came without encryption").wait_for()
    assert page.get_by_role("link", name="Photo").count() == 0
    context.set_offline(True)
    hear(page, "told without a chain")
    page.locator("[data-unsent]", has_text="1 not yet sent").wait_for()
    context.set_offline(False)
    all_sent(page)
    assert hall.words() == ["told without a chain"]
    assert hall.journal[-1].entry.event_key == ""
    context.close()


def test_assistive_technology_finds_nothing_to_complain_of(hall, phone):
    page = hall.open(phone())
    hall.act(PromiseStep(what="Planner's list"))
    hear(page, "usually")
    all_sent(page)
    check_schemes(page, "home")
    for name in CAPTURES:
        if name != "settled":
            page.evaluate("() => { location.hash = ''; }")
            page.locator(f"a[data-capture={name}]").click()
            check_schemes(page, name)


def test_everything_can_be_hit_and_nothing_is_cut_off_on_a_small_phone(hall, chromium):
    context = chromium.new_context(viewport={"width": 360, "height": 640})
    hall.sign_in(context)
    page = hall.open(context)
    hear(page, "one entry")
    all_sent(page)
    for name in ("", *CAPTURES):
        if name and name != "settled":
            page.locator(f"a[data-capture={name}]").click()
        wide, small = page.evaluate("""() => [
          document.documentElement.scrollWidth - innerWidth,
          [...document.querySelectorAll('a, button, input, select, textarea, summary')]
            .filter((one) => one.offsetParent && !one.closest('.pick, .choice, p, .skip'))
            .filter((one) => one.getBoundingClientRect().height < 43.5)
            .map((one) => one.outerHTML.slice(0, 120))]""")
        assert wide <= 0, name
        assert small == [], name
        if name and name != "settled":
            page.go_back()
    context.close()


def test_the_paper_pages_are_open_to_assistive_technology(hall, phone):
    from axe_playwright_python.sync_playwright import Axe

    context = phone()
    page = context.new_page()
    hall.watch(page)
    for address in (f"{hall.notebook}print/", f"{hall.server.address}/floor/"):
        page.goto(address)
        found = Axe().run(page).response["violations"]
        assert not found, (address, [(v["id"], [n["html"] for n in v["nodes"]]) for v in found])

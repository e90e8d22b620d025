"""The frame of all pages in a real browser: by eye, by ear, by keyboard, with its few scripts."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from tests.web.accessible import check_page

from witnessmark.web.accounts.models import User
from witnessmark.web.jobs.models import Job, State

PAGES = ("/about/looks/", "/account/", "/users/", "/users/add/", "/about/phone/", "/nowhere/")
TOUCH_PX = 44


@pytest.fixture
def job(user):
    return Job.objects.create(
        kind="add", asked_by=user, state=State.DONE, result={"says": "The sum is 42."}
    )


def test_every_page_is_accessible_and_never_scrolls_sideways(desks, user, job):
    page = desks.open(user)
    for path in (*PAGES, f"/jobs/{job.pk}/"):
        page.goto(desks.address + path)
        check_page(page, path)


def test_signing_in_is_accessible_too(desks, user, as_server):
    page = desks.open(user)
    page.context.clear_cookies()
    page.goto(f"{desks.address}/account/")
    assert page.get_by_role("heading", name="Sign in").is_visible()
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def test_what_is_pressed_on_a_phone_is_large_enough(desks, user):
    page = desks.open(user, viewport={"width": 390, "height": 844})
    page.goto(f"{desks.address}/about/looks/")
    small = page.evaluate(
        """least => [...document.querySelectorAll('.button, .tabs a, summary, select, input')]
          .map(one => one.closest('label') ?? one)
          .filter(one => one.offsetHeight && one.offsetHeight < least)
          .map(one => one.outerHTML.slice(0, 80))""",
        TOUCH_PX,
    )
    assert small == []


def test_states_are_told_apart_without_colour(desks, user):
    page = desks.open(user)
    page.goto(f"{desks.address}/about/looks/")
    states = page.evaluate(
        """() => [...document.querySelectorAll('section:nth-of-type(2) p:nth-of-type(2) .state')]
          .map(one => [one.textContent, ['background', 'borderStyle', 'borderWidth', 'transform']
            .map(name => getComputedStyle(one, '::before')[name]).join()])"""
    )
    assert len(states) == 7
    assert len({words for words, _ in states}) == len({pattern for _, pattern in states}) == 7


def test_by_keyboard_alone(desks, user):
    page = desks.open(user)
    page.goto(f"{desks.address}/about/looks/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
    assert page.evaluate("document.activeElement.getBoundingClientRect().top") >= 0
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    outline = page.get_by_role("link", name="Primary")
    outline.focus()
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Tab")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"


def test_a_menu_opens_and_closes_by_key_and_by_a_press_elsewhere(desks, user):
    page = desks.open(user)
    page.goto(f"{desks.address}/about/looks/")
    menu, entry = page.locator(".top-user summary"), page.get_by_role("link", name="Your account")
    menu.focus()
    page.keyboard.press("Enter")
    assert entry.is_visible()
    page.keyboard.press("Escape")
    assert not entry.is_visible()
    assert page.evaluate("document.activeElement.textContent").strip() == user.display_name
    menu.click()
    assert entry.is_visible()
    page.get_by_role("heading", name="Type").click()
    assert not entry.is_visible()


def test_a_dialog_asks_before_danger(desks, user):
    page = desks.open(user)
    page.goto(f"{desks.address}/about/looks/")
    page.get_by_role("button", name="Withdraw the finding").click()
    dialog = page.get_by_role("dialog", name="Withdraw the finding?")
    assert dialog.is_visible()
    dialog.get_by_role("button", name="Keep it").click()
    assert not dialog.is_visible()


def test_htmx_sends_the_form_token_and_shows_a_refusal_in_the_page(desks, user):
    page = desks.open(user)
    page.goto(f"{desks.address}/account/")
    page.evaluate(
        """htmx.ajax('POST', '/account/', {swap: 'none', target: '#notices',
          values: {display_name: 'By htmx', change_name: 1}})"""
    )
    assert User.objects.get().display_name == "By htmx"
    page.evaluate("htmx.ajax('GET', '/nowhere/', {target: '#main'})")
    notice = page.locator("#notices .notice")
    notice.wait_for()
    assert "There is nothing here" in notice.text_content()
    assert page.get_by_role("heading", name="Your account").is_visible()


def test_progress_is_followed_until_the_job_ends(desks, user):
    job = Job.objects.create(kind="add", asked_by=user, step="adding", share_done=0.25)
    page = desks.open(user)
    page.goto(f"{desks.address}/jobs/{job.pk}/")
    assert page.get_by_text("Waiting for its turn").is_visible()
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    Job.objects.update(state=State.DONE, result={"says": "The sum is 42."})
    page.get_by_text("The sum is 42.").wait_for()
    page.wait_for_timeout(2500)
    polls = [url for url in asked if url.endswith("/progress/")]
    assert 1 <= len(polls) <= 3


def test_without_script_everything_can_still_be_read_and_sent(desks, user):
    page = desks.open(user, java_script_enabled=False)
    page.goto(f"{desks.address}/account/")
    page.get_by_label("Name that others see").fill("Without script")
    page.get_by_role("button", name="Change the name").click()
    assert page.get_by_text("The name is changed.").is_visible()
    assert User.objects.get().display_name == "Without script"


def test_paper_holds_the_words_and_none_of_the_controls(desks, user):
    page = desks.open(user)
    page.goto(f"{desks.address}/about/looks/")
    page.emulate_media(media="print")
    assert not page.locator(".top").is_visible()
    assert not page.get_by_role("button", name="Keep the statement").is_visible()
    assert page.get_by_text("supports a judgement and certifies nothing").is_visible()
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"

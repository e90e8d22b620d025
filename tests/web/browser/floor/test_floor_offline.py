"""Without a network, without a server, after a restart: nothing lost, nothing doubled."""

from tests.web.browser.floor.conftest import restarted
from tests.web.browser.floor.hands import all_sent, hear, wait_for_states

from witnessmark.audit.journal import check_chain


def test_a_statement_goes_from_the_phone_into_the_journal(hall, phone):
    page = hall.open(phone())
    page.get_by_role("link", name="Heard").click()
    focused = page.evaluate("document.activeElement.id")
    assert focused == "heard-words"
    page.go_back()
    hear(page, "we check every two hours")
    all_sent(page)
    assert hall.words() == ["we check every two hours"]
    entry = hall.journal[-1].entry
    assert len(entry.event_key) == 64
    assert len(entry.event_signature) == 128


def test_it_opens_and_keeps_without_a_network_and_sends_later(hall, phone):
    context = phone()
    page = hall.open(context)
    context.set_offline(True)
    hear(page, "first")
    page.reload()
    wait_for_states(page, "waiting")
    hear(page, "second", role="operator")
    page.locator("[data-unsent]", has_text="2 not yet sent").wait_for()
    assert hall.words() == []
    context.set_offline(False)
    all_sent(page, 2)
    wait_for_states(page, "kept", "kept")
    assert hall.words() == ["first", "second"]
    check_chain(hall.journal)


def test_what_was_typed_is_there_after_the_page_died(hall, phone):
    context = phone()
    page = hall.open(context)
    context.set_offline(True)
    page.get_by_role("link", name="Heard").click()
    page.keyboard.type("the alarm clears its")
    page.locator("[data-draft]:visible", has_text="Kept").wait_for()
    page.close()
    again = context.new_page()
    hall.watch(again)
    again.goto(hall.notebook)
    again.get_by_role("link", name="Heard unfinished").click()
    assert again.get_by_label("In the speaker's words").input_value() == "the alarm clears its"


def test_a_server_killed_between_commit_and_answer_and_a_browser_restarted_meanwhile(
    hall, up, playwright, tmp_path
):
    with restarted(playwright, tmp_path / "phone", hall) as context:
        hall.sign_in(context)
        page = hall.open(context)
        up.order_to_die()
        hear(page, "committed and never answered")
        up.process.wait(timeout=60)
        page.locator("[data-said]", has_text="cannot be reached").wait_for()
        wait_for_states(page, "waiting")
        assert hall.words() == ["committed and never answered"]
    with restarted(playwright, tmp_path / "phone", hall) as context:
        page = context.new_page()
        hall.watch(page)
        page.goto(hall.notebook)
        wait_for_states(page, "waiting")
        hear(page, "written while the server was down")
        wait_for_states(page, "waiting", "waiting")
    up.start()
    with restarted(playwright, tmp_path / "phone", hall) as context:
        hall.sign_in(context)
        page = context.new_page()
        hall.watch(page)
        page.goto(hall.notebook)
        all_sent(page, 2)
        wait_for_states(page, "kept", "kept")
    assert hall.words() == ["committed and never answered", "written while the server was down"]
    assert len({item.event.device for item in hall.journal[2:]}) == 1
    check_chain(hall.journal)


def test_signed_out_is_said_and_nothing_is_lost(hall, phone):
    context = phone()
    page = hall.open(context)
    context.clear_cookies()
    hear(page, "kept on the phone")
    page.locator("[data-said]", has_text="You are signed out").wait_for()
    wait_for_states(page, "waiting")
    hall.sign_in(context)
    page.get_by_role("button", name="Send now").click()
    all_sent(page)
    assert hall.words() == ["kept on the phone"]

"""What a hand does on the notebook, in few words."""


def hear(page, words, role="setter", save=True):
    """Writes down a statement."""
    page.get_by_role("link", name="Heard").click()
    form = page.locator("#capture-heard")
    form.get_by_label("In the speaker's words").fill(words)
    form.get_by_role("group", name="Role of the speaker").get_by_role(
        "button", name=role, exact=True
    ).click()
    if save:
        form.get_by_role("button", name="Save").click()
        page.locator("[data-home]").wait_for(state="visible")


def states(page):
    """State of each entry on the phone, newest first."""
    return page.locator("[data-written] > li").evaluate_all(
        "all => all.map(li => li.dataset.state)"
    )


def wait_for_states(page, *wanted):
    """Waits until the entries are in these states."""
    for place, state in enumerate(wanted, start=1):
        page.locator(f"[data-written] > li:nth-child({place})[data-state={state}]").wait_for()


def all_sent(page, entries=1):
    """Waits until so many entries are on the phone and nothing of them waits any more."""
    page.locator(f"body[data-entries='{entries}'][data-waits='0']").wait_for()
    page.locator("[data-sync-state]", has_text="All sent").wait_for()

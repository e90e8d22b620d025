"""Two devices, two tabs, a wrong clock, a chain the server does not know."""

from datetime import timedelta

from tests.web.browser.floor.hands import all_sent, hear, wait_for_states

from witnessmark.audit.act import now
from witnessmark.audit.event import moment_of
from witnessmark.audit.journal import check_chain

APPEND = """([audit, author, from, count]) => {
  const loaded = performance.getEntriesByType('resource').map((entry) => entry.name);
  const find = (name) => loaded.find((one) => new RegExp(`/${name}[.][0-9a-f]+[.]js$`).test(one));
  window.work = (async () => {
    const { Vault } = await import(find('vault'));
    const { Outbox } = await import(find('outbox'));
    const { newId } = await import(find('bytes'));
    const outbox = new Outbox(await Vault.open());
    await Promise.all(Array.from({ length: count }, (_, place) => outbox.append([{
      id: newId(), audit, author, at: new Date().toISOString(), offset_min: 0,
      kind: 'statement-heard', body: { role: 'setter' }, texts: { words: `${from} ${place}` },
      supersedes: '' }])));
  })();
}"""


def author(hall):
    from witnessmark.web.store.desk import code_of

    return code_of(hall.user)


def test_two_devices_write_without_a_network_and_both_arrive(hall, phone):
    contexts = [phone(), phone()]
    pages = [hall.open(context) for context in contexts]
    for number, (context, page) in enumerate(zip(contexts, pages, strict=True)):
        context.set_offline(True)
        hear(page, f"on phone {number}")
    for context, page in zip(reversed(contexts), reversed(pages), strict=True):
        context.set_offline(False)
        all_sent(page)
    assert hall.words() == ["on phone 1", "on phone 0"]
    assert len({item.event.device for item in hall.journal[2:]}) == 2
    assert len({item.entry.event_key for item in hall.journal[2:]}) == 2
    check_chain(hall.journal)


def test_two_tabs_write_at_the_same_moment_into_one_chain(hall, phone):
    context = phone()
    pages = [hall.open(context), hall.open(context)]
    context.set_offline(True)
    for name, page in zip("ab", pages, strict=True):
        page.evaluate(APPEND, [hall.audit, author(hall), name, 12])
    for page in pages:
        page.evaluate("window.work")
    context.set_offline(False)
    pages[0].get_by_role("button", name="Send now").click()
    all_sent(pages[0], 24)
    told = [item.event for item in hall.journal if item.event.kind == "statement-heard"]
    assert len(set(hall.words())) == len(told) == 24
    assert {event.device for event in told} == {told[0].device}
    assert [event.device_seq for event in told] == list(range(1, 25))


def test_a_phone_five_hours_behind_is_put_right_and_says_so(hall, phone):
    context = phone()
    page = context.new_page()
    hall.watch(page)
    page.clock.install(time=now() - timedelta(hours=5))
    page.goto(hall.notebook)
    page.get_by_role("link", name="Counted").click()
    form = page.locator("#capture-counter")
    form.get_by_role("button", name="M2").click()
    form.get_by_label("Pieces").fill("1240")
    form.get_by_role("button", name="Save").click()
    all_sent(page)
    page.locator("[data-about]", has_text="behind the server's").wait_for()
    (seen,) = hall.state.observations.values()
    assert seen.values == {"pieces": 1240}
    assert abs((moment_of(seen.seen_at) - now()).total_seconds()) < 60
    last = hall.journal[-1]
    assert abs(last.entry.clock_offset_s - 5 * 3600) < 60
    assert now() - moment_of(last.event.at) > timedelta(hours=4)


def test_a_chain_that_the_server_does_not_know_starts_anew_with_the_same_ids(hall, phone):
    context = phone()
    page = hall.open(context)
    hear(page, "before")
    all_sent(page)
    context.set_offline(True)
    hear(page, "after a mishap")
    page.evaluate("""async () => {
      const db = await new Promise((done) => {
        const asked = indexedDB.open('witnessmark-floor');
        asked.onsuccess = () => done(asked.result);
      });
      const change = db.transaction('items', 'readwrite');
      const items = change.objectStore('items');
      items.getAll().onsuccess = ({ target }) => {
        // The phone forgets what it sent first, and believes it comes after something else.
        for (const item of target.result) if (item.state === 'kept') items.delete(item.id);
      };
      await new Promise((done) => { change.oncomplete = done; });
      const chains = db.transaction('chains', 'readwrite');
      const store = chains.objectStore('chains');
      store.openCursor().onsuccess = ({ target }) => {
        const lost = { device: target.result.value.head.device, seq: 7, hash: 'ab'.repeat(32) };
        target.result.update({ ...target.result.value, head: lost, acked: lost });
      };
      await new Promise((done) => { chains.oncomplete = done; });
      db.close();
    }""")
    hear(page, "and one more")
    page.locator("body[data-entries='2'][data-waits='2']").wait_for()
    entries = page.locator("[data-written] > li")
    ids = set(entries.evaluate_all("all => all.map(li => li.dataset.id)"))
    context.set_offline(False)
    all_sent(page, 2)
    assert hall.words() == ["before", "after a mishap", "and one more"]
    assert {item.event.id for item in hall.journal[3:]} == ids
    check_chain(hall.journal)


def test_what_is_refused_stays_with_its_reason_and_can_be_corrected(hall, phone):
    context = phone()
    page = hall.open(context)
    context.set_offline(True)
    page.evaluate(APPEND.replace("role: 'setter'", "role: ''"), [hall.audit, author(hall), "x", 1])
    page.evaluate("window.work")
    hear(page, "written after it")
    context.set_offline(False)
    page.locator("[data-sync-state]", has_text="1 refused").wait_for()
    wait_for_states(page, "kept", "refused")
    page.locator(".entry-why", has_text="never by name").wait_for()
    assert hall.words() == ["written after it"]
    page.get_by_role("button", name="Read back, or correct: x 0").click()
    form = page.locator("#capture-heard")
    form.get_by_role("button", name="planner", exact=True).click()
    form.get_by_role("button", name="Save").click()
    all_sent(page, 2)
    wait_for_states(page, "kept", "kept")
    assert hall.words() == ["written after it", "x 0"]


def test_a_statement_is_read_back_later_as_a_correction(hall, phone):
    page = hall.open(phone())
    hear(page, "we look every hour")
    all_sent(page)
    page.get_by_role("button", name="Read back, or correct").click()
    form = page.locator("#capture-heard")
    form.get_by_label("Read back, agreed").check()
    form.get_by_role("button", name="Save").click()
    all_sent(page, 2)
    (statement,) = hall.state.statements.values()
    assert statement.read_back == "agreed"
    assert len(statement.history) == 1

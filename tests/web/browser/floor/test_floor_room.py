"""Large photos, and a phone that runs out of room."""

import hashlib
import random

from tests.web.browser.floor.hands import all_sent, hear, wait_for_states

MEGABYTE = 1024 * 1024
SMALL = """
const bucket = navigator.storageBuckets.open('small', { quota: QUOTA });
const open = (name, version) => {
  const asked = {};
  bucket.then(({ indexedDB: storage }) => {
    const real = storage.open(name, version);
    for (const kind of ['onupgradeneeded', 'onsuccess', 'onerror']) {
      real[kind] = (event) => {
        asked.result = kind === 'onerror' ? undefined : real.result;
        asked[kind]?.(event);
      };
    }
  });
  return asked;
};
Object.defineProperty(self, 'indexedDB', { value: { open } });
"""
"""Puts the page's store into a bucket with a quota of its own, which the browser enforces."""
FILL = """async () => {
  const db = await new Promise((done) => {
    const asked = indexedDB.open('witnessmark-floor', 1);
    asked.onsuccess = () => done(asked.result);
  });
  window.filler = { db, names: [] };
  for (let size = 64_000; size > 100; ) {
    const name = `filler ${filler.names.length}`;
    const change = db.transaction('boxes', 'readwrite');
    change.objectStore('boxes').put(crypto.getRandomValues(new Uint8Array(size)), name);
    const fits = await new Promise((done) => {
      change.oncomplete = () => done(true);
      change.onabort = () => done(false);
    });
    if (fits) filler.names.push(name); else size = Math.floor(size / 4);
  }
  return filler.names.length;
}"""
EMPTY = """async () => {
  const change = filler.db.transaction('boxes', 'readwrite');
  for (const name of filler.names) change.objectStore('boxes').delete(name);
  await new Promise((done) => { change.oncomplete = done; });
}"""


def picture(megabytes, seed=7):
    return b"\xff\xd8\xff\xe0" + random.Random(seed).randbytes(megabytes * MEGABYTE)


def choose(page, data):
    page.get_by_role("link", name="Photo").click()
    form = page.locator("#capture-photo")
    form.get_by_label("Picture", exact=True).set_input_files(
        [{"name": "board.jpg", "mimeType": "image/jpeg", "buffer": data}]
    )
    return form


def photograph(page, data):
    form = choose(page, data)
    form.locator("[data-picture]").wait_for()
    form.get_by_label("Asked and given here").check()
    form.get_by_role("button", name="Save").click()
    page.locator("[data-home]").wait_for(state="visible")


def small_phone(phone, megabytes):
    context = phone()
    context.add_init_script(SMALL.replace("QUOTA", str(int(megabytes * MEGABYTE))))
    return context


def test_a_photo_of_eight_megabytes_waits_for_the_network_and_arrives_whole(hall, phone):
    from witnessmark.web.store import blobs

    data = picture(8)
    digest = hashlib.sha256(data).hexdigest()
    context = phone()
    page = hall.open(context)
    context.set_offline(True)
    photograph(page, data)
    page.reload()
    page.locator("[data-unsent]", has_text="1 picture not yet sent").wait_for()
    context.set_offline(False)
    all_sent(page)
    assert blobs.get(digest) == data
    (photo,) = hall.state.photos.values()
    assert (photo.sha256, photo.size, photo.permission) == (digest, len(data), "given")


def test_a_full_phone_says_so_and_keeps_what_is_on_the_page(hall, phone):
    page = hall.open(small_phone(phone, 1))
    hear(page, "this one I must not lose", save=False)
    assert page.evaluate(FILL) > 3
    save = page.locator("#capture-heard").get_by_role("button", name="Save")
    save.click()
    page.locator("[data-trouble]", has_text="storage is full").wait_for()
    assert page.get_by_label("In the speaker's words").input_value() == "this one I must not lose"
    page.evaluate(EMPTY)
    save.click()
    all_sent(page)
    assert hall.words() == ["this one I must not lose"]


def test_photos_that_the_server_has_make_room_for_new_ones(hall, phone):
    context = small_phone(phone, 5)
    page = hall.open(context)
    photograph(page, picture(3, seed=1))
    all_sent(page)
    # Chromium counts a picture as used, deleted or not, until it has collected what it read of it;
    # when that happens by itself is not ours to say.
    page.request_gc()
    context.set_offline(True)
    photograph(page, picture(3, seed=2))
    wait_for_states(page, "waiting", "kept")
    form = choose(page, picture(4, seed=3))
    page.locator("[data-trouble]", has_text="no room for this picture").wait_for()
    assert not form.locator("[data-picture]").is_visible()
    assert form.locator("[data-draft]").text_content() == ""
    page.go_back()
    context.set_offline(False)
    all_sent(page, 2)
    assert len(hall.state.photos) == 2

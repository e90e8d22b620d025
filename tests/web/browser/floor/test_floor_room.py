"""Large photos, and a phone that runs out of room."""

import hashlib
import random

from tests.web.browser.floor.hands import all_sent, hear, wait_for_states

MEGABYTE = 1024 * 1024


def picture(megabytes, seed=7):
    return b"\xff\xd8\xff\xe0" + random.Random(seed).randbytes(megabytes * MEGABYTE)


def choose(page, data):
    page.get_by_role("link", name="Photo").click()
    form = page.locator("#capture-photo")
    form.get_by_label("Picture").set_input_files(
        [{"name": "board.jpg", "mimeType": "image/jpeg", "buffer": data}]
    )
    return form


def photograph(page, data):
    form = choose(page, data)
    form.locator("[data-picture]").wait_for()
    form.get_by_text("Asked and given here").click()
    form.get_by_role("button", name="Save").click()
    page.locator("[data-home]").wait_for(state="visible")


def quota(context, page, hall, megabytes=None):
    session = context.new_cdp_session(page)
    told = {"origin": hall.server.address}
    if megabytes is not None:
        told["quotaSize"] = int(megabytes * MEGABYTE)
    session.send("Storage.overrideQuotaForOrigin", told)


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
    context = phone()
    page = hall.open(context)
    hear(page, "this one I must not lose", save=False)
    quota(context, page, hall, 0)
    page.locator("#capture-heard").get_by_role("button", name="Save").click()
    page.locator("[data-trouble]", has_text="storage is full").wait_for()
    assert page.get_by_label("In the speaker's words").input_value() == "this one I must not lose"
    quota(context, page, hall)
    page.locator("#capture-heard").get_by_role("button", name="Save").click()
    all_sent(page)
    assert hall.words() == ["this one I must not lose"]


def test_photos_that_the_server_has_make_room_for_new_ones(hall, phone):
    context = phone()
    page = hall.open(context)
    photograph(page, picture(3, seed=1))
    all_sent(page)
    context.set_offline(True)
    used = page.evaluate("navigator.storage.estimate().then((e) => e.usage)") / MEGABYTE
    quota(context, page, hall, used + 1)
    photograph(page, picture(3, seed=2))
    wait_for_states(page, "waiting", "kept")
    form = choose(page, picture(6, seed=3))
    page.locator("[data-trouble]", has_text="no room for this picture").wait_for()
    assert not form.locator("[data-picture]").is_visible()
    quota(context, page, hall)
    page.go_back()
    context.set_offline(False)
    all_sent(page)
    assert len(hall.state.photos) == 2

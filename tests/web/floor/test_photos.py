"""Photos come by their hash, whole, once, and only where an event names them."""

import hashlib
import random

JPEG = b"\xff\xd8\xff\xe0" + random.Random(7).randbytes(200_000)


def name(floor, data):
    digest = hashlib.sha256(data).hexdigest()
    phone = floor.phone()
    body = {"sha256": digest, "size": len(data), "media_type": "image/jpeg"}
    assert floor.sync(phone, phone.write("photo-taken", body))[0]["status"] == "received"
    return f"/floor/{floor.audit}/photo/{digest}"


def put(floor, address, data):
    return floor.client.put(address, data, content_type="application/octet-stream")


def test_a_photo_is_asked_for_taken_and_kept(floor):
    from witnessmark.web.store import blobs

    address = name(floor, JPEG)
    assert floor.client.get(address).json() == {"named": True, "kept": False}
    assert put(floor, address, JPEG).status_code == 200
    assert floor.client.get(address).json() == {"named": True, "kept": True}
    assert put(floor, address, JPEG).status_code == 200
    assert blobs.get(hashlib.sha256(JPEG).hexdigest()) == JPEG


def test_a_photo_that_no_event_names_is_not_taken(floor):
    digest = hashlib.sha256(JPEG).hexdigest()
    address = f"/floor/{floor.audit}/photo/{digest}"
    assert floor.client.get(address).json() == {"named": False, "kept": False}
    assert put(floor, address, JPEG).status_code == 409
    assert floor.client.get(f"/floor/{floor.audit}/photo/..%2f..%2fkeys").status_code in (200, 404)


def test_a_photo_cut_short_or_changed_is_not_taken(floor):
    address = name(floor, JPEG)
    assert put(floor, address, JPEG[:-1]).status_code == 400
    assert put(floor, address, JPEG[:-1] + b"x").status_code == 400
    assert floor.client.get(address).json()["kept"] is False


def test_what_is_no_picture_is_not_taken(floor):
    page = b"<!doctype html><script>alert(1)</script>"
    assert put(floor, name(floor, page), page).status_code == 415


def test_more_than_the_limit_is_refused_before_it_is_read(floor):
    address = name(floor, JPEG)
    assert put(floor, address, b"\xff\xd8\xff" + bytes(26 * 1024 * 1024)).status_code == 413


def test_a_destroyed_photo_does_not_come_back(floor):
    from witnessmark.audit.people import Actor, Role
    from witnessmark.web.store.desk import destroy_text

    address = name(floor, JPEG)
    put(floor, address, JPEG)
    digest = hashlib.sha256(JPEG).hexdigest()
    destroy_text(floor.audit, Actor(floor.user, Role.LEAD), digest, "a face is on it")
    assert floor.client.get(address).json() == {"named": True, "kept": True}
    assert put(floor, address, JPEG).status_code == 410

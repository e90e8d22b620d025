"""Observations in every form, photos and documents."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from witnessmark.audit.actions.compare_observation import CompareObservation
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.set_site_rules import SetSiteRules
from witnessmark.audit.forms import FORMS

PNG = (
    b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\1\0\0\0\1\x08\x06\0\0\0\x1f\x15\xc4\x89\0\0\0\rIDATx\x9cc"
    b"\xf8\xff\xff?\0\x05\xfe\x02\xfe\xa3\x9a\x8e\xa4\0\0\0\0IEND\xaeB`\x82"
)
ANSWERS = {
    "free": ({"note": "Parts lie beside the catcher."}, {}),
    "staffing": (
        {"machine-0": "T1-01", "grid-0": "attended", "machine-1": "T1-02", "grid-1": "nobody"},
        {"grid": {"T1-01": "attended", "T1-02": "nobody"}},
    ),
    "round": ({"machine-0": "T1-01", "grid-0": "set-up"}, {"grid": {"T1-01": "set-up"}}),
    "machine-state": (
        {"machine": "T1-01", "v-state": "running", "v-presence": "", "v-part_no": "1078"},
        {"state": "running", "part_no": "1078"},
    ),
    "counter": ({"machine": "T1-01", "v-pieces": "48211"}, {"pieces": 48211}),
    "last-check": (
        {"machine": "T1-01", "v-checked_at": "2026-07-01T14:00", "v-result": "pass"},
        {"checked_at": "2026-07-01T12:00:00Z", "result": "pass"},
    ),
    "board": (
        {"v-area": "T1", "v-letter": "Q", "v-day": "2026-07-01", "v-colour": "green"},
        {"area": "T1", "letter": "Q", "day": "2026-07-01", "colour": "green"},
    ),
    "hold-area": ({"v-lots": "L-1\n\n L-2 "}, {"lots": ["L-1", "L-2"]}),
}


def test_every_form_has_an_example_here():
    assert set(ANSWERS) == set(FORMS)


@pytest.mark.parametrize("form", sorted(ANSWERS))
def test_each_form_is_drawn_filled_in_and_corrected(audit, form):
    sent, values = ANSWERS[form]
    assert FORMS[form].title in audit.page("observe", form)
    answer = audit.post("observe", form, **sent, place="row T1")
    assert answer.status_code == 302, answer.content.decode()
    (item,) = audit.state.observations.values()
    assert dict(item.values) == values
    assert FORMS[form].title in audit.page("seen-item", item.id)
    audit.page("correct-observation", item.id)
    again = audit.post("correct-observation", item.id, **sent, place="row T2")
    assert again.status_code == 302, again.content.decode()
    (now,) = audit.state.observations.values()
    assert (dict(now.values), now.place, len(now.history)) == (values, "row T2", 1)


def test_a_needed_answer_is_asked_for(audit):
    for form in ("staffing", "counter", "board", "hold-area", "free"):
        assert audit.post("observe", form, machine="T1-01").status_code == 422, form
    assert audit.get("observe", "nonsense").status_code == 404


def test_the_grid_lists_the_machines_of_the_scope_and_those_named(audit):
    page = audit.page("observe", "staffing", machines="X9, T1-01,, Y8 ")
    rows = [f'name="machine-{n}" value="{m}"' for n, m in enumerate(["T1-01", "T1-02", "X9", "Y8"])]
    assert all(row in page for row in rows)
    assert 'name="machine-4"' not in page
    assert page.count('type="radio"') == 4 * 4


def test_what_was_tapped_survives_a_refusal(audit):
    answer = audit.post(
        "observe", "staffing", **{"machine-0": "T1-01", "grid-0": "juggled"},
    )  # fmt: skip
    assert answer.status_code == 422
    again = audit.post(
        "observe", "staffing", **{"machine-0": "T1-01", "grid-0": "watched"}, seen_at="nonsense"
    )
    assert 'value="watched" checked' in again.content.decode()


def photo(audit, data=PNG, name="../../evil.html", as_="lead", **told):
    file = SimpleUploadedFile(name, data, content_type="text/html")
    given = {"file": file, "permission": "given", "caption": "The catcher", **told}
    return audit.post("take-photo", as_=as_, **given)


def test_a_photo_is_kept_by_what_it_is_and_can_do_nothing(audit):
    assert photo(audit).status_code == 302
    (item,) = audit.state.photos.values()
    assert (item.media_type, item.size, item.permission) == ("image/png", len(PNG), "given")
    answer = audit.get("photo-file", item.id)
    assert answer.content == PNG
    assert answer.headers["Content-Type"] == "image/png"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert "script-src" not in answer.headers["Content-Security-Policy"]
    assert audit.get("photo-file", item.id, as_="auditee").status_code == 403
    assert audit.get("photo-file", item.id, as_="stranger").status_code == 404
    assert 'alt="The catcher"' in audit.page("seen")


def test_what_is_no_picture_is_refused(audit):
    for data in (b"<svg onload=alert(1)>", b"<html>", b"\x89PNX", b"GIF89a"):
        assert photo(audit, data).status_code == 422, data
    assert photo(audit, b"").status_code == 422
    assert audit.state.photos == {}


def test_a_destroyed_photo_is_gone(audit):
    from witnessmark.web.store.desk import actor_of, destroy_text

    photo(audit)
    (item,) = audit.state.photos.values()
    actor = actor_of(audit.accounts["lead"], audit.state)
    destroy_text(audit.id, actor, item.sha256, "asked for")
    assert audit.get("photo-file", item.id).status_code == 404
    assert "photo destroyed" in audit.page("seen-item", item.id)


def test_a_site_without_photos_is_told_to_transcribe(audit):
    audit.do(SetSiteRules(photos="not-allowed"))
    page = audit.page("take-photo")
    assert "allow no photos" in page
    assert audit.url("transcribe") in page


def test_a_document_is_transcribed_or_kept_by_the_plant(audit):
    audit.post("transcribe", title="CP-114", revision="7", page="3", text="Every 2 h of running.")
    audit.post("transcribe", title="Sheet 9", receipt="R-12")
    assert audit.post("transcribe", title="Nothing").status_code == 422
    first, second = audit.state.documents.values()
    assert "Every 2 h of running." in audit.page("seen-item", first.id)
    assert "receipt R-12" in audit.page("seen-item", second.id)


def test_a_contradiction_proposes_a_trail_until_it_lies_on_one(audit):
    seen = audit.do(MakeObservation(form="staffing", values={"grid": {"T1-01": "nobody"}}))
    audit.do(
        CompareObservation(
            observation=seen,
            freeze="0" * 32,
            field_name="grid/T1-01",
            result="contradicts",
            seen="nobody",
            recorded="attended by an allocation",
        )
    )
    assert "1 contradiction" in audit.page("spine").replace("\u202f", " ")
    page = audit.page("seen-item", seen)
    assert "attended by an allocation" in page
    assert "A trail that this proposes" in page
    assert "T1-01" in audit.page("seen", show="contradicted")
    audit.post(
        "open-trail", **{"from": f"observation:{seen}"}, proposition="P", highest_grade="minor",
        bears="for",
    )  # fmt: skip
    assert "A trail that this proposes" not in audit.page("seen-item", seen)
    assert "contradiction" not in audit.page("spine").split("Trails</h2>")[0]

"""The journal as people read it."""

import json

import pytest

from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.take_photo import TakePhoto
from witnessmark.audit.canonical import canonical
from witnessmark.audit.catalogue import catalogue
from witnessmark.audit.event import Event
from witnessmark.audit.journal import check_chain
from witnessmark.audit.state import AuditState
from witnessmark.web.desk.around.sentences import SENTENCES, sentence
from witnessmark.web.store import blobs, models
from witnessmark.web.store.desk import STORE, desk

WORDS = "Checks are made every two hours."


def test_every_kind_has_a_sentence():
    assert set(SENTENCES) == set(catalogue())


@pytest.mark.parametrize("kind", list(SENTENCES))
def test_a_sentence_holds_whatever_is_missing(kind):
    event = Event("a", "b", "c", 1, "0" * 64, "2026-03-24T05:00:00Z", 0, "u1", kind, {})
    said = sentence(event, AuditState(), {})
    assert said.endswith((".", "”", "!", "?"))
    assert "{" not in said
    assert "  " not in said


def test_entries_stand_newest_first_with_who_and_where(audit):
    audit.hear(WORDS)
    audit.finding(statement="Not made.", who="auditor")
    page = audit.read("journal")
    assert page.index("Drafted a finding: Not made.") < page.index("Wrote down a statement")
    assert page.index("Wrote down a statement") < page.index("Opened the audit")
    assert "Account auditor" in page
    assert "the desk" in page
    assert WORDS not in page


def test_a_page_holds_fifty_entries(audit):
    for number in range(60):
        audit.hear(f"{WORDS} {number}")
    page = audit.read("journal")
    assert page.count('class="n entry-number"') == 50
    assert "Opened the audit" in audit.read("journal", page=2)


def test_an_entry_shows_its_place_in_the_chain_and_its_words(audit):
    said = audit.hear(WORDS, place="row 2")
    page = audit.read("entry", said)
    assert WORDS in page
    assert "row 2" in page
    assert "the installation at receipt" in page
    row = models.Entry.objects.get(event_id=said)
    assert json.loads(row.entry)["event_hash"] in page


def test_a_correction_stands_with_what_it_replaced(audit):
    said = audit.hear("First words.")
    new = audit.do(HearStatement(role="setter"), supersedes=said, words="Second words.")
    page = audit.read("entry", new)
    assert "What it replaced" in page
    assert "<del>First words.</del>" in page
    assert "<ins>Second words.</ins>" in page
    assert "<del>operator</del>" in page
    assert "Corrected since." in audit.read("entry", said)


def test_a_kind_unknown_to_this_version_is_said_and_kept(audit):
    own = desk()
    head, last = STORE.head(audit.id), STORE.last_of(audit.id, own.device)
    event = Event(
        "0b7f3c52-2f0e-4f59-9d38-0d9a1f3f6f77", audit.id, own.device, last.device_seq + 1,
        last.hash, "2026-11-26T05:00:00Z", 0, audit.code("lead"), "moon-howled-at", {"a": "<b>"},
    )  # fmt: skip
    with STORE.locked(audit.id):
        own._append(event, {}, own.clock())
    assert STORE.head(audit.id).seq == head.seq + 1
    page = audit.read("journal")
    assert "which this version does not know" in page
    assert "moon-howled-at" in page
    page = audit.read("entry", event.id)
    assert "&lt;b&gt;" in page
    assert audit.browser().post(audit.url("check-journal"), follow=True).status_code == 200


def test_a_clock_that_was_wrong_and_a_device_that_signed_are_said(audit):
    audit.hear(WORDS)
    row = models.Entry.objects.filter(audit_id=audit.id).latest("seq")
    entry = json.loads(row.entry) | {"clock_offset_s": -245, "event_key": "ab" * 32}
    row.entry = canonical(entry).decode()
    row.save()
    page = audit.read("journal")
    assert "Its clock was 4 min 5 s ahead" in page
    assert "signed by its device" in page


def test_the_chain_is_checked_on_demand(audit):
    audit.hear(WORDS)
    answer = audit.browser("observer").post(audit.url("check-journal"), follow=True)
    assert "every hash and every signature holds" in answer.content.decode()
    row = models.Entry.objects.filter(audit_id=audit.id).order_by("seq")[2]
    row.event = row.event.replace("function of", "funktion of")
    row.save()
    page = audit.browser().post(audit.url("check-journal"), follow=True).content.decode()
    assert "Not done." in page
    assert "3" in page
    assert "is not the one received" in page


def test_a_text_is_destroyed_for_good_with_the_reason(audit):
    said = audit.hear(WORDS)
    mark = audit.state.statements[said].words_sealed
    page = audit.read("destroy-text", mark)
    assert WORDS in page
    assert "the chain stays whole" in page
    page = audit.post("destroy-text", mark, reason="Asked for.").content.decode()
    assert 'class="errors"' in page  # not without knowing what it does
    assert STORE.reveal(mark) == WORDS
    assert audit.post("destroy-text", mark, reason="Asked for.", sure="on").status_code == 302
    assert STORE.reveal(mark) is None
    assert WORDS not in audit.read("entry", said)
    assert "destroyed" in audit.read("entry", said)
    assert "Asked for." in audit.read("journal")
    assert check_chain(STORE.received(audit.id)) == STORE.head(audit.id).seq


def test_only_the_lead_destroys_and_only_what_is_of_this_audit(audit, another):
    said, foreign = audit.hear(WORDS), another.hear("Theirs.")
    mark = audit.state.statements[said].words_sealed
    for who in ("auditor", "observer", "programme-owner", "auditee"):
        assert audit.get("destroy-text", mark, who=who).status_code == 403
        assert audit.post("destroy-text", mark, who=who, reason="x", sure="on").status_code == 403
    theirs = another.state.statements[foreign].words_sealed
    assert audit.get("destroy-text", theirs).status_code == 404
    assert audit.post("destroy-text", theirs, reason="x", sure="on").status_code == 404
    assert STORE.reveal(theirs) == "Theirs."


def test_a_photo_is_destroyed_too(audit):
    digest = blobs.put(b"\xff\xd8 picture", "image/jpeg")
    photo = audit.do(TakePhoto(sha256=digest, size=10, caption="The board"))
    assert "Destroy this text" in audit.read("entry", photo)
    assert "a photo for good" in audit.read("destroy-text", digest)
    audit.post("destroy-text", digest, reason="A face.", sure="on")
    assert blobs.get(digest) is None
    assert audit.state.photos[photo].destroyed


def test_an_entry_of_another_audit_is_not_found(audit, another):
    foreign = another.hear("Theirs.")
    assert audit.get("entry", foreign).status_code == 404

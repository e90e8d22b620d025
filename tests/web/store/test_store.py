"""The installation's store: what is on disk, what is destroyed, what a page remembers."""

from uuid import uuid4

import pytest
from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.db import transaction

from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.join_member import JoinMember
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.fold import fold
from witnessmark.audit.journal import check_chain
from witnessmark.audit.people import Actor, NotAllowedError, Role
from witnessmark.errors import UnusableInputError
from witnessmark.web.accounts.models import User
from witnessmark.web.store import blobs, models
from witnessmark.web.store.desk import (
    STATES,
    STORE,
    actor_of,
    audits_of,
    code_of,
    desk,
    destroy_text,
)

WORDS = "nobody goes over at night, I am sure"


@pytest.fixture
def audit(user):
    STATES.forget()
    name = str(uuid4())
    lead = Actor(code_of(user), Role.LEAD)
    desk().act(name, lead, OpenAudit(title="Turning", process="turning"))
    return name


def heard(audit, user, words=WORDS):
    actor = actor_of(user, desk().state(audit))
    received = desk().act(audit, actor, HearStatement(role="setter"), {"words": words})
    return received.event.body["words"]


def on_disk():
    """Every byte of the data folder, keys aside."""
    folder = settings.CONFIG.data.path
    files = [path for path in folder.rglob("*") if path.is_file() and "keys" not in path.parts]
    return b"".join(path.read_bytes() for path in files)


def test_words_are_not_on_disk_in_the_clear(audit, user):
    mark = heard(audit, user)
    assert STORE.reveal(mark) == WORDS
    assert WORDS.encode() not in on_disk()


def test_a_destroyed_text_is_gone_and_the_chain_is_whole(audit, user):
    mark = heard(audit, user)
    sealed = bytes(models.Text.objects.get(mark=mark).sealed)
    destroy_text(audit, actor_of(user, desk().state(audit)), mark, "asked for by the speaker")
    assert STORE.reveal(mark) is None
    assert sealed not in on_disk()
    assert mark in desk().state(audit).destroyed
    assert check_chain(STORE.received(audit)) == 3


def test_only_a_lead_destroys_and_without_the_right_nothing_is_gone(audit, user):
    mark = heard(audit, user)
    with pytest.raises(NotAllowedError):
        destroy_text(audit, Actor("other", Role.AUDITOR), mark, "why not")
    assert STORE.reveal(mark) == WORDS


def test_what_was_taken_back_is_not_remembered(audit, user):
    before = desk().state(audit)

    def hear_and_fail():
        with transaction.atomic():
            heard(audit, user)
            assert len(desk().state(audit).statements) == 1
            raise RuntimeError

    with pytest.raises(RuntimeError):
        hear_and_fail()
    assert desk().state(audit) == before == fold(STORE.received(audit))
    heard(audit, user)
    assert len(desk().state(audit).statements) == 1


def test_the_remembered_state_is_the_fold_of_the_journal(audit, user):
    for number in range(4):
        heard(audit, user, f"word {number}")
        assert STATES.state(audit) == fold(STORE.received(audit))


def test_a_list_shows_whose_audits_and_what_is_open(audit, user):
    other = User.objects.create_user("other", "long and quiet words")
    assert audits_of(other) == []
    with pytest.raises(PermissionDenied):
        actor_of(other, desk().state(audit))
    lead = actor_of(user, desk().state(audit))
    desk().act(audit, lead, JoinMember(user=code_of(other), role="observer"))
    rows = audits_of(other)
    assert [row.id for row in rows] == [audit]
    assert rows[0].summary["members"][code_of(other)] == "observer"
    assert rows[0].summary_head == desk().store.head(audit).hash


@pytest.mark.usefixtures("database")
def test_an_attachment_comes_back_and_is_kept_once():
    first = blobs.put(b"\x89 thirty pieces beside the catcher", "image/png")
    assert blobs.put(b"\x89 thirty pieces beside the catcher", "image/png") == first
    assert blobs.get(first) == b"\x89 thirty pieces beside the catcher"
    assert b"thirty pieces" not in on_disk()
    assert models.Blob.objects.count() == 1


@pytest.mark.usefixtures("database")
def test_a_destroyed_attachment_is_gone():
    digest = blobs.put(b"a face", "image/png")
    blobs.destroy(digest)
    assert blobs.get(digest) is None
    assert not blobs.has(digest)


@pytest.mark.usefixtures("database")
def test_a_changed_attachment_is_refused():
    digest = blobs.put(b"evidence", "image/png")
    path = next(settings.CONFIG.data.blobs.glob(f"*/{digest}"))
    path.write_bytes(path.read_bytes()[:-1] + b"\0")
    with pytest.raises(UnusableInputError, match="cannot be opened"):
        blobs.get(digest)


@pytest.mark.usefixtures("database")
def test_a_name_that_is_no_hash_finds_no_file():
    with pytest.raises(ValueError, match="no hash"):
        blobs.path_of("../../keys/master")

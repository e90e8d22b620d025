"""The store in memory keeps what a store promises."""

import pytest
from tests.audit.conftest import AUDIT, LEAD
from tests.audit.writers import write_at_once

from witnessmark.audit.actions.hear_statement import HearStatement


def test_two_writers_at_once_lose_nothing(desk):
    write_at_once(desk, AUDIT)


def test_what_a_failed_block_added_is_taken_back(opened):
    store = opened.store
    before = store.received(AUDIT)

    def fail_after_adding():
        with store.locked(AUDIT):
            opened.act(AUDIT, LEAD, HearStatement(role="x"), {"words": "lost"})
            raise KeyError("the disk is full")

    with pytest.raises(KeyError):
        fail_after_adding()
    assert store.received(AUDIT) == before
    kept = opened.act(AUDIT, LEAD, HearStatement(role="x"), {"words": "kept"})
    assert kept.entry.seq == 2
    assert store.find(kept.event.id) == kept

"""An audit, and what lies in it."""

import pytest
from tests.web.working_audit import open_working_audit

from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.open_trail import OpenTrail


@pytest.fixture
def audit(database):
    """An audit with one account in each role, its scope named."""
    return open_working_audit()


@pytest.fixture
def trail(audit):
    """A trail with both readings."""
    return audit.do(
        OpenTrail(
            proposition="Restarts go unverified at night.",
            rival="The alarm resets only the conveyor.",
            next_step="Ask the night leader.",
        )
    )


@pytest.fixture
def statement(audit):
    """Something that somebody said."""
    return audit.do(HearStatement(role="setter", place="row T1"), words="We always check.")


@pytest.fixture
def protected(audit):
    """Something that a protected source said."""
    heard = HearStatement(role="packer of the night", place="dock seven", protected=True)
    return audit.do(heard, words="They told us to back-date the sheet.")

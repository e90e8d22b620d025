"""An open audit, its people, a second one, and frozen records with an outcome."""

import pytest
from tests.web.one_audit import SLUG, make_people, open_audit, outcome

from witnessmark.audit.cited import Cited


@pytest.fixture
def people(database):
    """Accounts by what they are in the audit; the laptop's user leads it."""
    return make_people()


@pytest.fixture
def audit(people, web):
    """An open audit."""
    return open_audit(people, web)


@pytest.fixture
def another(people, web):
    """A second audit of the same lead."""
    return open_audit(people, web, title="Another audit")


@pytest.fixture
def cited(audit):
    """An outcome of frozen records, as evidence."""
    freeze = audit.take_in("a" * 32, [outcome(46, 212)])
    return Cited("outcome", freeze=freeze, slug=SLUG, digest="d" * 64, exceptions=46, assessed=212)

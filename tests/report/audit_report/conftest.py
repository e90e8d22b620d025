"""The rich audit, its sources and its report; made once, since they are values."""

import pytest
from tests.report.audit_report.plant_audit import (
    FREEZE,
    made_up_outcomes,
    new_desk,
    sources_of,
    write_all,
)

from witnessmark.report.audit_report.compose import compose


@pytest.fixture(scope="session")
def written():
    """A desk at which the whole audit was written, with the writer."""
    desk = new_desk()
    return desk, write_all(desk, made_up_outcomes())


@pytest.fixture(scope="session")
def sources(written):
    """What its report is made from."""
    return sources_of(written[0], {FREEZE: made_up_outcomes()})


@pytest.fixture(scope="session")
def report(sources):
    """Its report, a draft."""
    return compose(sources)

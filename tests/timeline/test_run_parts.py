"""A table that is made for so many runs at a time has the rows of the table made at once."""

import pytest
from tables import timeline_of
from test_check_gaps import CHECKS

from witnessmark.timeline import run_parts as parts
from witnessmark.timeline.build import derived_tables
from witnessmark.timeline.run_parts import FIRST, LAST, WHOLE, run_parts

IN_PARTS = [name for name, file in derived_tables().items() if FIRST in file.parameters()]


def test_the_parts_cover_every_run_once_and_in_order(monkeypatch):
    timeline = timeline_of(CHECKS)
    timeline.require({"check_runs"})
    monkeypatch.setattr(parts, "CHECKS_AT_ONCE", 2)
    found = run_parts(timeline.store.con)
    assert len(found) > 1
    assert found[0][FIRST] == WHOLE[FIRST]
    assert found[-1][LAST] == WHOLE[LAST]
    assert [part[FIRST] for part in found[1:]] == [part[LAST] + 1 for part in found[:-1]]


@pytest.mark.parametrize("name", IN_PARTS)
def test_made_in_parts_it_has_the_same_rows_in_the_same_order(name, monkeypatch, tmp_path):
    timeline = timeline_of(CHECKS)
    timeline.require({name})
    at_once = timeline.store.con.execute(f"from {name}").fetchall()
    assert at_once
    monkeypatch.setattr(parts, "CHECKS_AT_ONCE", 1)
    in_parts = timeline_of(CHECKS)
    in_parts.cache_folder = tmp_path
    in_parts.require({name})
    assert len(list((tmp_path / f"{name}-{in_parts.key_of(name)}").iterdir())) > 1
    assert in_parts.store.con.execute(f"from {name}").fetchall() == at_once

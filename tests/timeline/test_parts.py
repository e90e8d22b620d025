"""A table that is made for so many runs, or checks, at a time has the rows of one made at once."""

import pytest
from tables import timeline_of
from test_check_gaps import CHECKS

from witnessmark.timeline import parts as cut
from witnessmark.timeline.build import derived_tables
from witnessmark.timeline.parts import CHECKS as BY_CHECKS
from witnessmark.timeline.parts import LAST, RUNS, parts

IN_PARTS = {
    name: file.parameters() & {RUNS[0], BY_CHECKS[0]}
    for name, file in derived_tables().items()
    if file.parameters() & {RUNS[0], BY_CHECKS[0]}
}


@pytest.mark.parametrize("names", [RUNS, BY_CHECKS])
def test_the_parts_cover_everything_once_and_in_order(names, monkeypatch):
    timeline = timeline_of(CHECKS)
    timeline.require({"check_runs"})
    monkeypatch.setattr(cut, "CHECKS_AT_ONCE", 2)
    found = parts(timeline.store.con, frozenset(names))
    first, last = names
    assert len(found) > 1
    assert (found[0][first], found[-1][last]) == (0, LAST)
    assert [part[first] for part in found[1:]] == [part[last] + 1 for part in found[:-1]]


def test_a_table_that_is_made_at_once_is_one_part():
    assert parts(timeline_of(CHECKS).store.con, frozenset({"setup_lookback_s"})) == [{}]


@pytest.mark.parametrize("name", IN_PARTS)
def test_made_in_parts_it_has_the_same_rows_in_the_same_order(name, monkeypatch, tmp_path):
    timeline = timeline_of(CHECKS)
    timeline.require({name})
    at_once = timeline.store.con.execute(f"from {name}").fetchall()
    assert at_once
    monkeypatch.setattr(cut, "CHECKS_AT_ONCE", 1)
    in_parts = timeline_of(CHECKS)
    in_parts.cache_folder = tmp_path
    in_parts.require({name})
    made = list((tmp_path / f"{name}-{in_parts.key_of(name)}").glob("*.parquet"))
    assert len(made) > 1
    assert in_parts.store.con.execute(f"from {name}").fetchall() == at_once

"""The guarantees of the engine, on small record tests made for it."""

from contextlib import closing
from decimal import Decimal

import pytest

from witnessmark.criteria.load import default_criteria
from witnessmark.errors import Where
from witnessmark.record_tests import engine
from witnessmark.record_tests.engine import Settings, run_test
from witnessmark.record_tests.record_test import read_record_test
from witnessmark.records.memory import TextTable, load_memory
from witnessmark.records.unique import prove_unique
from witnessmark.records.zones import zone_of
from witnessmark.timeline.build import Timeline

FRONT = """/*---
finding = "A part is heavy."
says = "Part {part_no} weighs {mass_g}."
needs = ["parts.mass_g"]
criteria = []
clauses = ["Q 7.5.3"]
pattern = "isolated"
strata = ["description"]
key = ["part_no"]
since = "0.1"
---
*/
"""
SELECT = """select
    part_no,
    description,
    mass_g,
    {unknown} as not_assessable,
    {heavy} as exception
from parts {more}"""


@pytest.fixture
def outcome_of():
    """Runs a query of the shape above over parts."""
    stores = []

    def run(rows, more="", unknown="null", heavy="mass_g > 5", settings=None):
        header = ("part_no", "description", "mass_g")
        store = load_memory({"parts": TextTable(header, rows)}, zone_of("UTC", Where("x")))
        stores.append(store)
        query = SELECT.format(unknown=unknown, heavy=heavy, more=more)
        test = read_record_test(FRONT + query, "product", "part-heavy")
        return run_test(test, Timeline(store, default_criteria()), settings or Settings())

    yield run
    for store in stores:
        store.con.close()


PARTS = tuple((f"p{n}", "pin", str(n)) for n in range(10))


def test_every_unit_has_one_result(outcome_of):
    found = outcome_of(PARTS, unknown="case when mass_g = 3 then 'not weighed' end")
    counts = found.counts
    assert (counts.population, counts.conforming, counts.exceptions) == (10, 5, 4)
    assert counts.not_assessable == {"not weighed": 1}
    assert [row["ref"] for row in found.rows] == ["p6", "p7", "p8", "p9"]
    assert found.rows[0]["sentence"] == "Part p6 weighs 6."


def test_a_missing_mark_never_passes_as_conforming(outcome_of):
    found = outcome_of((*PARTS, ("p10", "pin", "")))
    assert found.counts.not_assessable == {"a value the test needs is missing": 1}
    assert found.counts.assessed == len(PARTS)


def test_an_exception_is_not_lost_behind_a_reason(outcome_of):
    found = outcome_of(PARTS, unknown="'never weighed twice'")
    assert found.counts.exceptions == 4
    assert found.counts.not_assessable == {"never weighed twice": 6}


def test_a_key_that_two_units_share_fails_the_test(outcome_of):
    twice = outcome_of(PARTS, more="cross join range(case when mass_g = 4 then 2 else 1 end)")
    assert twice.status == "failed"
    assert "two units have the key ('p4',)" in twice.message
    assert outcome_of(PARTS).status == "assessed"


def test_a_query_that_breaks_is_an_outcome_of_its_own(outcome_of):
    found = outcome_of(PARTS, heavy="cast(description as integer) > 5")
    assert found.status == "failed"
    assert "pin" in found.message
    assert found.counts.population == 0


def test_rows_are_capped_and_their_total_stated(outcome_of):
    found = outcome_of(PARTS, settings=Settings(row_cap=2))
    assert [row["ref"] for row in found.rows] == ["p6", "p7"]
    assert found.rows_total == 4


def test_a_table_that_lacks_is_named_and_an_empty_one_is_nothing_to_test(outcome_of):
    assert outcome_of(()).status == "nothing-to-test"
    store = load_memory({}, zone_of("UTC", Where("x")))
    test = read_record_test(
        FRONT + SELECT.format(unknown="null", heavy="true", more=""), "product", "part-heavy"
    )
    found = run_test(test, Timeline(store, default_criteria()), Settings())
    store.con.close()
    assert (found.status, found.missing) == ("not-assessable", ("parts.mass_g",))


LONG_RUNS = """/*---
finding = "A run is long."
says = "Run {run_id} is long."
needs = ["runs"]
criteria = ["restart_threshold_min"]
clauses = ["Q 8.5.1"]
pattern = "isolated"
strata = ["machine_id"]
key = ["run_id"]
since = "0.1"
---
*/
select
    run_id,
    machine_id,
    null as not_assessable,
    end_at > start_at as exception
from merged_runs"""


def test_the_digest_tells_a_criterion_that_only_a_derived_table_uses():
    header = ("run_id", "machine_id", "part_no", "start_at", "end_at")
    rows = (("r1", "M1", "P1", "2026-03-02 06:00", "2026-03-02 14:00"),)
    store = load_memory({"runs": TextTable(header, rows)}, zone_of("UTC", Where("x")))
    test = read_record_test(LONG_RUNS, "product", "run-long")
    criteria = default_criteria()

    def digest(criteria):
        found = run_test(test, Timeline(store, criteria), Settings())
        assert found.status == "assessed", found.message
        return found.digest

    first = digest(criteria)
    assert digest(criteria) == first
    assert digest(criteria.with_value("restart_threshold_min", Decimal(31))) != first
    store.con.close()


CHECKED = """select
    check_ix,
    check_id as description,
    null as not_assessable,
    check_id != 'c0' as exception
from check_context {more}"""


@pytest.mark.parametrize(
    ("more", "proofs", "status"),
    [
        ("", 0, "assessed"),
        ("where check_id != 'c0'", 1, "assessed"),
        ("cross join range(case when check_ix = 1 then 2 else 1 end)", 1, "failed"),
        # As many units as checks, and one of them twice.
        ("inner join (values (0), (2), (2)) as v (ix) on check_ix = ix", 1, "failed"),
    ],
)
def test_the_rows_of_a_table_whose_key_was_proved_need_no_proof(
    more, proofs, status, monkeypatch, tmp_path
):
    checks = tuple(
        (f"c{n}", "M1", kind) for n, kind in enumerate(["first-off", "patrol", "patrol"])
    )
    given = {"checks": TextTable(("check_id", "machine_id", "kind"), checks)}
    front = FRONT.replace("parts.mass_g", "checks").replace(
        "Part {part_no} weighs {mass_g}", "{ref}"
    )
    front = front.replace('["part_no"]', '["check_id"]')
    test = read_record_test(front + CHECKED.format(more=more), "checks", "made")
    asked = []
    monkeypatch.setattr(engine, "UNITS_ASIDE", 0)
    monkeypatch.setattr(engine, "prove_unique", lambda *a: asked.append(a) or prove_unique(*a))
    store = load_memory(given, zone_of("UTC", Where("x")))
    with closing(store.con):
        timeline = Timeline(store, default_criteria(), cache_folder=tmp_path)
        found = run_test(test, timeline, Settings())
    assert (found.status, len(asked)) == (status, proofs)

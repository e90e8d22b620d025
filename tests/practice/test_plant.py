"""What holds in every practice plant, whatever was planted in it."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest

from witnessmark.practice.origins import key_values
from witnessmark.practice.plant import build, build_with
from witnessmark.records.tables import TABLES

TYPES = {"text": str, "int": int, "decimal": Decimal, "bool": bool, "date": date,
         "instant": datetime, "list": list}  # fmt: skip
LOST_LOG = 1
"""One story takes forty minutes out of a machine's states."""


def test_every_row_has_the_columns_and_types_of_its_table(plant):
    for name, rows in plant.tables.items():
        table = TABLES[name]
        for row in rows:
            assert set(row) == {c.name for c in table.columns} | {"extract_id"}
            for column in table.columns:
                value = row[column.name]
                assert value is not None or column.optional, (name, column.name, row)
                assert value is None or isinstance(value, TYPES[column.type]), (name, column.name)


def test_words_of_closed_vocabularies_are_known(plant):
    for name, rows in plant.tables.items():
        for column in (c for c in TABLES[name].columns if c.words):
            said = {
                word
                for row in rows
                if (value := row[column.name]) is not None
                for word in (value if isinstance(value, list) else [value])
            }
            assert said <= set(column.words), (name, column.name)


def test_every_key_stands_once(plant):
    for name, rows in plant.tables.items():
        twice = [key for key, n in Counter(key_values(name, row) for row in rows).items() if n > 1]
        assert not twice, (name, twice[:3])


def test_instants_are_aware_and_whole_minutes(plant):
    for name, rows in plant.tables.items():
        for column in TABLES[name].instants:
            for at in (row[column] for row in rows):
                assert at is None or (at.tzinfo is UTC and not at.second), (name, column)


def test_ends_do_not_lie_before_their_starts(plant):
    for name, rows in plant.tables.items():
        for start, end in TABLES[name].ranges:
            for row in rows:
                assert row[start] is None or row[end] is None or row[start] <= row[end], (name, row)


def _by_machine(rows):
    found = {}
    for row in sorted(rows, key=lambda row: row["start_at"]):
        found.setdefault(row["machine_id"], []).append(row)
    return found


def test_states_follow_each_other_without_overlap(plant):
    holes = 0
    for rows in _by_machine(plant.tables["machine_states"]).values():
        for one, following in pairwise(rows):
            assert one["end_at"] <= following["start_at"]
            holes += one["end_at"] < following["start_at"]
    assert holes == LOST_LOG


def test_states_cover_the_whole_period(plant):
    spans = _by_machine(plant.tables["machine_states"])
    assert set(spans) == {row["machine_id"] for row in plant.tables["machines"]}
    starts = {rows[0]["start_at"] for rows in spans.values()}
    ends = {rows[-1]["end_at"] for rows in spans.values()}
    assert starts == {datetime(2026, 8, 30, 22, 0, tzinfo=UTC)}
    assert ends == {datetime(2026, 11, 29, 23, 0, tzinfo=UTC)}


def test_runs_of_a_machine_do_not_overlap(plant):
    for rows in _by_machine(plant.tables["runs"]).values():
        for one, following in pairwise(rows):
            assert one["end_at"] is not None
            assert one["end_at"] <= following["start_at"]


def test_nobody_is_there_twice_at_the_gate(plant):
    stays = {}
    for row in sorted(plant.tables["attendances"], key=lambda row: row["in_at"]):
        stays.setdefault(row["person_key"], []).append((row["in_at"], row["out_at"]))
    for spans in stays.values():
        for (_, out), (into, _) in pairwise(spans):
            assert out < into


def test_the_night_of_the_clock_change_lasts_nine_hours(plant):
    night = [
        row
        for row in plant.tables["shift_instances"]
        if row["area"] == "T1" and row["production_date"] == date(2026, 10, 24)
        and row["shift"] == "night"
    ]  # fmt: skip
    assert [row["end_at"] - row["start_at"] for row in night] == [timedelta(hours=9)]


def test_something_happens_in_the_hour_that_comes_twice(plant):
    first, last = (datetime(2026, 10, 25, hour, tzinfo=UTC) for hour in (0, 2))
    for table, column in (("checks", "done_at"), ("machine_states", "start_at")):
        inside = [row for row in plant.tables[table] if first <= row[column] < last]
        assert inside, table


def test_pieces_counted_never_go_backwards(plant):
    shown = {}
    for row in sorted(plant.tables["piece_counts"], key=lambda row: row["counted_at"]):
        assert row["cumulative"] >= shown.get(row["machine_id"], 0)
        shown[row["machine_id"]] = row["cumulative"]
    assert min(shown.values()) > 50_000


def test_a_part_of_a_lot_is_never_more_than_the_lot(plant):
    quantity = {row["lot_no"]: row["qty"] for row in plant.tables["lots"]}
    taken = Counter()
    for link in plant.tables["lot_links"]:
        taken[link["from_lot"]] += link["qty"]
        assert link["to_lot"] in quantity
    for line in plant.tables["shipment_lines"]:
        taken[line["lot_no"]] += line["qty"]
    assert taken
    assert all(qty <= quantity[lot] for lot, qty in taken.items())


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_healthy_plant_keeps_its_intervals_whatever_the_seed(seed):
    plant = build_with((), seed=seed, weeks=2)
    assert not plant.key.weaknesses
    assert not plant.key.look_alikes
    assert {row["result"] for row in plant.tables["checks"]} == {"pass"}
    late = [
        row for row in plant.tables["checks"]
        if row["entered_at"] - row["done_at"] > timedelta(minutes=30)
    ]  # fmt: skip
    assert not late


def test_the_same_seed_gives_the_same_plant(healthy):
    again = build_with((), seed=7, weeks=3)
    other = build_with((), seed=8, weeks=3)
    assert again.tables == healthy.tables
    assert other.tables["checks"] != healthy.tables["checks"]


def test_the_stories_need_thirteen_weeks():
    with pytest.raises(ValueError, match="12"):
        build(seed=7, weeks=12)

"""The declarations of the canonical tables: complete, in order, and as the contract has them."""

import re

import pytest

from witnessmark.records.table import Table
from witnessmark.records.tables import TABLES

KEYS = {
    "extracts": "extract_id",
    "clocks": "clock_id valid_from",
    "machines": "machine_id",
    "parts": "part_no",
    "routings": "part_no op group_id",
    "shift_instances": "area production_date shift",
    "planned_breaks": "area production_date shift no",
    "area_neighbours": "area neighbour",
    "working_days": "area day",
    "tending_times": "machine_or_group",
    "runs": "run_id",
    "machine_states": "machine_id start_at",
    "piece_counts": "machine_id counted_at",
    "outputs": "machine_id production_date shift part_no",
    "stoppages": "stop_id",
    "process_events": "event_id",
    "parameter_limits": "part_no machine_id parameter rev",
    "parameter_values": "machine_id parameter measured_at",
    "people": "person_key",
    "attendances": "person_key in_at",
    "allocations": "person_key machine_or_group start_at",
    "qualifications": "person_key process valid_from",
    "required_qualifications": "process role valid_from",
    "authorities": "person_key kind area valid_from",
    "unattended_permissions": "permission_id",
    "staffing_rules": "rule_id",
    "setups": "setup_id",
    "control_plan_lines": "plan_no rev line",
    "checks": "check_id",
    "measurements": "check_id line piece_no",
    "gauges": "gauge_id",
    "calibrations": "gauge_id done_on",
    "gauge_studies": "study_id",
    "capability_claims": "claim_id",
    "chart_rules": "part_no line rule",
    "material_uses": "machine_id lot_no start_at",
    "lots": "lot_no",
    "lot_links": "from_lot to_lot",
    "shipment_lines": "ship_no line",
    "holds": "hold_id",
    "reworks": "rework_id",
    "scrap_entries": "scrap_id",
    "concessions": "concession_id",
    "schedule_lines": "order_no machine_id version",
    "demand_lines": "customer_order line",
    "overtime_entries": "area_or_person worked_on",
    "board_rules": "area letter valid_from",
    "board_measures": "measure",
    "board_meetings": "area held_at",
    "board_statuses": "area letter production_date shift? version?",
    "concerns": "concern_id",
    "actions": "action_id",
    "action_changes": "action_id changed_at",
    "handovers": "area change_at",
    "handover_items": "area change_at no",
    "maintenance_tasks": "task_id",
    "tool_lives": "tool_id mounted_at",
    "temporary_changes": "change_id",
}
"""Key columns per table, written down once more by hand; `?` marks one that may be empty."""

UNITS = {
    "_min": "min",
    "_s": "s",
    "_d": "d",
    "_m": "m",
    "_g": "g",
    "_kg": "kg",
    "_share": "share",
    "_per_day": "s/day",
    "_strokes": "strokes",
}
NOT_NAMED_AT = ["valid_from"]
"""An instant that is not named `_at`: from when a clock's offset holds."""
NOT_NAMED_ON = {
    "day",
    "due_original",
    "due_promised",
    "next_due",
    "period_from",
    "period_to",
    "production_date",
    "valid_from",
    "valid_to",
}
"""Dates that are not named `_on`: ends of a validity or period, and words of the trade."""

SENTENCES = re.compile(r"^[A-Z`0-9].*\.$")

each_table = pytest.mark.parametrize("table", TABLES.values(), ids=TABLES)


def names(columns):
    return [column.name for column in columns]


def test_the_tables_are_those_of_the_contract():
    assert sorted(TABLES) == sorted(KEYS)


@each_table
def test_the_key_is_that_of_the_contract(table: Table):
    key = [f"{column.name}{'?' * column.optional}" for column in table.columns if column.key]
    assert key == KEYS[table.name].split()


@each_table
def test_a_table_is_found_under_its_name_and_says_what_a_row_is(table: Table):
    assert TABLES[table.name] is table
    assert SENTENCES.match(table.about)
    assert table.group


@each_table
def test_no_column_stands_twice(table: Table):
    assert len(set(names(table.columns))) == len(table.columns)


@each_table
def test_ranges_name_two_columns_of_one_type(table: Table):
    for start, end in table.ranges:
        assert start != end
        assert table.column(start).type == table.column(end).type


@each_table
def test_every_column_says_what_it_means_in_full_sentences(table: Table):
    unsaid = [c for c in table.columns if not SENTENCES.match(c.about) or "  " in c.about]
    assert names(unsaid) == []


@each_table
def test_what_may_be_empty_says_what_empty_means_and_nothing_else_does(table: Table):
    assert names(c for c in table.columns if ("Empty:" in c.about) != c.optional) == []


@each_table
def test_a_name_that_carries_a_unit_declares_it(table: Table):
    numbers = [column for column in table.columns if column.type in ("int", "decimal")]
    for column in numbers:
        suffix = next((end for end in UNITS if column.name.endswith(end)), None)
        if suffix is not None:
            assert column.unit in (UNITS[suffix], f"{UNITS[suffix]}/piece"), column.name
    assert names(c for c in table.columns if c.unit and c not in numbers) == []


@each_table
def test_instants_and_dates_are_named_as_such(table: Table):
    instants = [n for n in names(table.columns) if n.endswith("_at")]
    if table.name == "clocks":
        instants += NOT_NAMED_AT
    assert instants == list(table.instants)
    dates = names(column for column in table.columns if column.type == "date")
    assert [n for n in dates if not n.endswith("_on") and n not in NOT_NAMED_ON] == []


@each_table
def test_closed_words_are_distinct_and_the_dictionary_explains_each(table: Table):
    for column in table.columns:
        assert all(word and word == word.strip() for word in column.words)
        assert len(set(column.words)) == len(column.words)
        assert column.type in ("text", "list") or not column.words
        if "same words" not in column.about:
            assert [word for word in column.words if f"`{word}`" not in column.about] == []


def test_a_board_measure_is_made_of_quantities_that_the_tool_can_compute():
    table = TABLES["board_measures"]
    assert table.column("numerator").words == table.column("denominator").words
    assert "attained pieces" in table.column("numerator").words


def test_the_event_that_makes_a_check_due_is_an_event_that_can_happen():
    due = TABLES["control_plan_lines"].column("event").words
    assert due == TABLES["process_events"].column("kind").words


def test_a_plan_line_asks_for_checks_that_can_be_recorded():
    asked = TABLES["control_plan_lines"].column("check_kinds").words
    assert set(asked) < set(TABLES["checks"].column("kind").words)

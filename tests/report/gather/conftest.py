"""Two days of one invented turning cell, told as canonical tables.

On T01 the first day is in order. On the second day nobody is allocated from 21:30 on; the machine
runs on, the patrol check of 22:00 is the last for four hours, and the next one fails. Of the three
bins open in between one is held, one is shipped, one is neither.
"""

# ruff: noqa: E501 - a table is as wide as it is

from datetime import date

import pytest

import witnessmark.report.assemble as assembling
from witnessmark.criteria.load import default_criteria
from witnessmark.record_tests.battery import run_battery
from witnessmark.records.memory import TextTable, load_memory
from witnessmark.records.plant import Plant
from witnessmark.report.gather.provenance import Origin

TABLES = {
    "machines": """
        machine_id | area    | group_id | process         | auto_stop
        T01        | turning | cell-a   | bar-fed turning | true
        T02        | turning | cell-a   | bar-fed turning | true
    """,
    "shift_instances": """
        area    | production_date | shift | start_at         | end_at           | overtime
        turning | 2026-05-11      | early | 2026-05-11 05:30 | 2026-05-11 13:30 | false
        turning | 2026-05-11      | late  | 2026-05-11 13:30 | 2026-05-11 21:30 | false
        turning | 2026-05-11      | night | 2026-05-11 21:30 | 2026-05-12 05:30 | false
        turning | 2026-05-12      | early | 2026-05-12 05:30 | 2026-05-12 13:30 | false
        turning | 2026-05-12      | late  | 2026-05-12 13:30 | 2026-05-12 21:30 | false
        turning | 2026-05-12      | night | 2026-05-12 21:30 | 2026-05-13 05:30 | false
    """,
    "planned_breaks": """
        area    | production_date | shift | no | start_at         | end_at
        turning | 2026-05-12      | early | 1  | 2026-05-12 09:00 | 2026-05-12 09:30
    """,
    "runs": """
        run_id | machine_id | part_no | start_at         | end_at           | end_kind
        R1     | T01        | P-100   | 2026-05-11 06:30 | 2026-05-13 05:00 | order-done
    """,
    "machine_states": """
        machine_id | start_at         | end_at           | state
        T01        | 2026-05-11 05:30 | 2026-05-11 06:30 | setup
        T01        | 2026-05-11 06:30 | 2026-05-12 02:10 | running
        T01        | 2026-05-12 02:10 | 2026-05-12 07:10 | stopped
        T01        | 2026-05-12 07:10 | 2026-05-13 05:00 | running
    """,
    "allocations": """
        person_key | machine_or_group | start_at         | end_at           | role     | basis
        kp-7731    | T01              | 2026-05-11 05:30 | 2026-05-11 13:30 | operator | actual
        kp-7732    | T01              | 2026-05-11 13:30 | 2026-05-11 21:30 | operator | actual
        kp-7733    | T01              | 2026-05-11 21:30 | 2026-05-12 05:30 | operator | actual
        kp-7731    | T01              | 2026-05-12 05:30 | 2026-05-12 13:30 | operator | actual
        kp-7732    | T01              | 2026-05-12 13:30 | 2026-05-12 21:30 | operator | actual
        kp-7734    | T02              | 2026-05-12 21:30 | 2026-05-13 05:30 | operator | actual
    """,
    "qualifications": """
        person_key | process         | valid_from | level
        kp-7731    | bar-fed turning | 2025-01-01 | 3
        kp-7732    | bar-fed turning | 2025-01-01 | 3
        kp-7733    | bar-fed turning | 2025-01-01 | 3
        kp-7734    | bar-fed turning | 2025-01-01 | 3
    """,
    "required_qualifications": """
        process         | role     | valid_from | level
        bar-fed turning | operator | 2025-01-01 | 2
    """,
    "setups": """
        setup_id | machine_id | to_part | start_at         | end_at           | setter  | released_at
        S1       | T01        | P-100   | 2026-05-11 05:35 | 2026-05-11 06:20 | kp-7735 | 2026-05-11 06:30
    """,
    "control_plan_lines": """
        plan_no | rev | line | part_no | characteristic | lower_limit | upper_limit | sample_n | basis        | interval_min | check_kinds | valid_from | reaction_ref | reaction_owner_role
        CP-1    | 3   | 10   | P-100   | diameter       | 4.98        | 5.02        | 1        | running-time | 120          | patrol      | 2026-01-01 | RP-12        | quality engineer
    """,
    "checks": """
        check_id | machine_id | part_no | kind   | taken_at         | done_at          | entered_at       | done_by | result
        c01      | T01        | P-100   | patrol | 2026-05-11 08:25 | 2026-05-11 08:30 | 2026-05-11 08:32 | kp-7731 | pass
        c02      | T01        | P-100   | patrol | 2026-05-11 10:25 | 2026-05-11 10:30 | 2026-05-11 11:32 | kp-7731 | pass
        c03      | T01        | P-100   | patrol | 2026-05-11 12:20 | 2026-05-11 12:25 | 2026-05-11 12:26 | kp-7731 | pass
        c04      | T01        | P-100   | patrol | 2026-05-11 14:20 | 2026-05-11 14:25 | 2026-05-11 14:26 | kp-7732 | pass
        c05      | T01        | P-100   | patrol | 2026-05-11 16:20 | 2026-05-11 16:25 | 2026-05-11 16:26 | kp-7732 | pass
        c06      | T01        | P-100   | patrol | 2026-05-11 18:20 | 2026-05-11 18:25 | 2026-05-11 18:26 | kp-7732 | pass
        c07      | T01        | P-100   | patrol | 2026-05-11 20:20 | 2026-05-11 20:25 | 2026-05-11 20:26 | kp-7732 | pass
        c08      | T01        | P-100   | patrol | 2026-05-11 22:20 | 2026-05-11 22:25 | 2026-05-11 22:26 | kp-7733 | pass
        c09      | T01        | P-100   | patrol | 2026-05-12 00:20 | 2026-05-12 00:25 | 2026-05-12 00:26 | kp-7733 | pass
        c10      | T01        | P-100   | patrol | 2026-05-12 07:25 | 2026-05-12 07:30 | 2026-05-12 07:32 | kp-7731 | pass
        c11      | T01        | P-100   | patrol | 2026-05-12 09:25 | 2026-05-12 09:30 | 2026-05-12 09:32 | kp-7731 | pass
        c12      | T01        | P-100   | patrol | 2026-05-12 11:25 | 2026-05-12 11:30 | 2026-05-12 11:32 | kp-7731 | pass
        c13      | T01        | P-100   | patrol | 2026-05-12 13:25 | 2026-05-12 13:30 | 2026-05-12 13:32 | kp-7731 | pass
        c14      | T01        | P-100   | patrol | 2026-05-12 15:25 | 2026-05-12 15:30 | 2026-05-12 15:32 | kp-7732 | pass
        c15      | T01        | P-100   | patrol | 2026-05-12 17:40 | 2026-05-12 17:45 | 2026-05-12 17:46 | kp-7732 | pass
        c16      | T01        | P-100   | patrol | 2026-05-12 19:55 | 2026-05-12 20:00 | 2026-05-12 20:01 | kp-7732 | pass
        c17      | T01        | P-100   | patrol | 2026-05-12 21:55 | 2026-05-12 22:00 | 2026-05-12 22:01 | kp-7734 | pass
        c18      | T01        | P-100   | patrol | 2026-05-13 01:55 | 2026-05-13 02:00 | 2026-05-13 02:01 | kp-7734 | fail
        c19      | T01        | P-100   | patrol | 2026-05-13 02:40 | 2026-05-13 02:45 | 2026-05-13 02:46 | kp-7734 | pass
    """,
    "lots": """
        lot_no | part_no | machine_id | qty | opened_at        | closed_at
        L1     | P-100   | T01        | 900 | 2026-05-12 14:00 | 2026-05-12 21:00
        L2     | P-100   | T01        | 610 | 2026-05-12 21:00 | 2026-05-12 23:30
        L3     | P-100   | T01        | 540 | 2026-05-12 23:30 | 2026-05-13 01:30
        L4     | P-100   | T01        | 420 | 2026-05-13 01:30 | 2026-05-13 05:00
    """,
    "lot_links": """
        from_lot | to_lot | qty | op
        L2       | W9     | 610 | washing
    """,
    "holds": """
        hold_id | lot_no | qty | placed_at
        H1      | L4     | 420 | 2026-05-13 02:20
    """,
    "shipment_lines": """
        ship_no | line | part_no | lot_no | qty | shipped_at
        S-501   | 10   | P-100   | W9     | 600 | 2026-05-14 15:10
    """,
}  # fmt: skip


def table(text):
    """A canonical table from lines of cells between bars."""
    lines = [line.split("|") for line in text.strip().splitlines()]
    cells = [tuple(cell.strip() for cell in line) for line in lines]
    return TextTable(header=cells[0], rows=tuple(cells[1:]))


@pytest.fixture(scope="session")
def plant():
    return Plant(zone="Europe/Berlin", person_basis="allocations", period_from=date(2026, 5, 11))


@pytest.fixture(scope="session")
def battery(plant):
    texts = {name: table(text) for name, text in TABLES.items()}
    store = load_memory(texts, plant.zone_info)
    yield run_battery(store, plant, default_criteria(), with_sensitivity=False)
    store.con.close()


@pytest.fixture(scope="session")
def paper(battery):
    return assembling.assemble(battery, Origin(plant="Plant Auenfeld", tool_version="0.1.0"))

"""A small plant in one shift, its staffing board, and the attendance class read from it."""

from tables import derive, pick

PLANT = """
machines
| machine_id | area | group_id | process | auto_stop |
|------------|------|----------|---------|-----------|
| M1         | A    | G1       | turning | yes       |
| M2         | A    | G1       | turning |           |
| M3         | A    |          | milling |           |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 06:00 | 2026-03-02 14:00 | no       |
| A    | 2026-03-02      | late  | 2026-03-02 14:00 | 2026-03-02 22:00 | no       |

runs
| run_id | machine_id | part_no | start_at         | end_at           |
|--------|------------|---------|------------------|------------------|
| r1     | M1         | P1      | 2026-03-02 06:00 | 2026-03-02 14:00 |
| r2     | M2         | P2      | 2026-03-02 06:00 | 2026-03-02 14:00 |
"""
EARLY = ("2026-03-02 06:00", "2026-03-02 14:00")


def at(time):
    return f"2026-03-02 {time}" if time else ""


def table(name, header, rows):
    rule = "|" + "---|" * (header.count("|") - 1)
    return f"\n{name}\n{header}\n{rule}\n" + "".join(f"{row}\n" for row in rows)


def board(*rows):
    """Allocations as (person, place, start, end, role, basis)."""
    lines = [
        f"| {person} | {place} | {at(start)} | {at(end)} | {role} | {basis} |"
        for person, place, start, end, role, basis in rows
    ]
    return table(
        "allocations", "| person_key | machine_or_group | start_at | end_at | role | basis |", lines
    )


def put(person, place, start="06:00", end="14:00", role="operator", basis="actual"):
    return person, place, start, end, role, basis


def rule(number="", watching="", since="2026-01-01"):
    header = "| rule_id | area | max_machines_per_person | watching_allowed | valid_from |"
    return table("staffing_rules", header, [f"| s1 | A | {number} | {watching} | {since} |"])


def permission(part="", shifts="", longest="", conditions="", since="2026-01-01", until=""):
    header = (
        "| permission_id | machine_id | part_no | shifts | max_duration_min | conditions "
        "| valid_from | valid_to |"
    )
    row = f"| u1 | M1 | {part} | {shifts} | {longest} | {conditions} | {since} | {until} |"
    return table("unattended_permissions", header, [row])


def spans(text, machine="M1", column="class", period=EARLY):
    """Class by stretch (joined where it stays the same) of one machine in the early shift."""
    tables = PLANT + text
    rows = derive("attendance_spans", tables, period=period)
    number = {row["machine_id"]: row["machine_ix"] for row in derive("known_machines", tables)}
    joined = []
    for start, end, value in pick(
        [row for row in rows if row["machine_ix"] == number[machine]], "from_at", "to_at", column
    ):
        if joined and joined[-1][2] == value:
            joined[-1] = (joined[-1][0], end[-5:], value)
        else:
            joined.append((start[-5:], end[-5:], value))
    return joined


def whole(value):
    return [("06:00", "14:00", value)]


def pause(relief_rule=""):
    header = "| area | production_date | shift | no | start_at | end_at | relief_rule |"
    row = f"| A | 2026-03-02 | early | 1 | {at('09:00')} | {at('09:30')} | {relief_rule} |"
    return table("planned_breaks", header, [row])

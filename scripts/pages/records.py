"""The data dictionary, from the declarations of the canonical tables."""

from pages.markdown import code, link, page, table
from witnessmark.records.table import Column, Table
from witnessmark.records.tables import TABLES

SOURCE = "src/witnessmark/records/tables/"
GROUPS = (
    "Where the data came from",
    "Plant",
    "Running",
    "People",
    "Set-up and release",
    "Checks and measurements",
    "Material, lots, product on hold",
    "Schedule and delivery",
    "Daily board, concerns, actions",
    "Handover, maintenance, temporary change",
)
"""Headings of the dictionary, in the order of the work they record."""

INTRODUCTION = """
These are the tool's own names for what a plant writes down. Case files, folders of CSV files and
mappings use them. No plant has all tables; a test whose table is missing says so and counts as
not assessable, never as passed.

Five tables unlock the central tests: `runs` or `machine_states`, `allocations`, `checks`,
`control_plan_lines` and `shift_instances`. Every run of the tool says which missing table or column
would unlock which further test.
"""

READING = """
## How to read it

- **Types.** `text`; `int`; `decimal` (six decimal places); `bool` (`true`, `false`); `date`
  (`2026-03-29`, in the plant's zone); `instant` (`2026-03-29 01:45` in the plant's zone, or with
  its offset, `2026-10-25T02:30+02:00`); `list` (text, separated by semicolons). Ids are always
  text, so that leading zeros survive. Shares are written from 0 to 1.
- **Key.** The key columns, joined with `/`, are the row's *ref*: the same whenever the same data
  are exported again. A key column that is empty is skipped in it.
- **Required.** A required column that is empty refuses its row, with the reason. A case file must
  fill the key alone.
- **Empty is not zero.** Missing, blank, zero, not due and not assessable stay five different
  things from intake to report. What an empty cell means stands with each column.
- **Origin.** Every row carries `extract_id` and `source_row`: it can be traced to the file and row
  that it came from.
- **Instants** are kept in UTC, each with `<name>_offset_min` (how far the written time was ahead
  of UTC) and `<name>_quality` (`s`, `min`, `h`, `day`: how exactly it was written; `ambiguous`: a
  local time that occurred twice). Queries see true time: a known clock offset is already taken off.
- **Valid to** includes the day that it names.
"""


def pages() -> dict[str, str]:
    """The one page of the data dictionary.

    Raises:
        ValueError: A table names a group that the dictionary has no heading for.
    """
    unknown = sorted({item.group for item in TABLES.values()} - set(GROUPS))
    if unknown:
        raise ValueError(f"groups without a place in the dictionary: {', '.join(unknown)}")
    parts = [INTRODUCTION, _contents(), READING]
    for group in GROUPS:
        parts.append(f"## {group}")
        parts.extend(_section(item) for item in _of(group))
    return {"reference/records.md": page("Records", SOURCE, parts)}


def _of(group: str) -> list[Table]:
    return [item for item in TABLES.values() if item.group == group]


def _contents() -> str:
    lines = [
        f"- {group}: " + ", ".join(link(item.name, f"#{item.name}") for item in _of(group))
        for group in GROUPS
    ]
    return "\n".join(lines)


def _section(item: Table) -> str:
    facts = [f"Key: {code(item.key)}."]
    facts += [f"`{end}` may not lie before `{start}`." for start, end in item.ranges]
    rows = [
        (_name(column), column.type, column.unit, "" if column.optional else "yes", column.about)
        for column in item.columns
    ]
    columns = table(["column", "type", "unit", "required", "what it says"], rows)
    return "\n\n".join([f"### {item.name}", item.about, " ".join(facts), columns])


def _name(column: Column) -> str:
    return f"**`{column.name}`**" if column.key else f"`{column.name}`"

"""The derived tables, from the SQL files of the timeline."""

from pages.markdown import code, fence, link, page
from witnessmark.records.tables import TABLES
from witnessmark.timeline.build import build_order, derived_tables
from witnessmark.timeline.sql_file import SqlFile

SOURCE = "src/witnessmark/timeline/"

INTRODUCTION = """
What several record tests share is derived once and only read by them. Each table is one query; it
is shown here as it runs. The tables stand in the order in which they are derived. `period` (from
`starts_at` to `ends_at`, one row) is no file: it is the stated period of the data, else the time
from the earliest to the latest instant in any table. `$from_run_ix` and `$to_run_ix`, or
`$from_check_ix` and `$to_check_ix`, are the first and the last run or check of a part: a table of
many rows is made for so many of them at a time. Where a key is stated, it is settled when the table
is made whether any two rows share it; a record test relies on it only where none do.
"""


def pages() -> dict[str, str]:
    """The one page of the derived tables."""
    files = derived_tables()
    parts = [INTRODUCTION, ", ".join(link(name, f"#{name}") for name in build_order())]
    parts += [_section(name, files[name]) for name in build_order()]
    return {"reference/timeline.md": page("Timeline", SOURCE, parts)}


def _section(name: str, file: SqlFile) -> str:
    reads = file.tables() - {name}
    derived = [link(other, f"#{other}") for other in build_order() if other in reads]
    records = [link(other, f"records.md#{other}") for other in TABLES if other in reads]
    facts = [f"Reads {', '.join(records + derived)}."] if records or derived else []
    criteria = file.front.get("criteria")
    if isinstance(criteria, list) and criteria:
        facts.append(f"Uses {code(criteria)}.")
    key = file.front.get("key")
    if isinstance(key, list) and key:
        facts.append(f"Its key is {code(key)}.")
    order = file.front.get("sorted")
    if isinstance(order, list) and order:
        facts.append(f"Sorted by {code(order)}.")
    about = str(file.front.get("about", "")).strip().rstrip(".")
    return "\n\n".join(
        part
        for part in (
            f"## {name}",
            f"{about[:1].upper()}{about[1:]}.",
            " ".join(facts),
            file.prose,
            fence(file.query, "sql"),
        )
        if part
    )

"""Which columns of a row hold a person, and the row without them.

Whatever leaves the auditor's desk is made from rows without persons: report, JSON, sealed file.
This module knows none of these.
"""

from witnessmark.record_tests.outcome import Row

A_PERSON = "a person"
PERSON_COLUMNS = frozenset(
    {
        "person_key",
        "done_by",
        "setter",
        "released_by",
        "trainer",
        "disposed_by",
        "acknowledged_by",
        "assessor",
        "approved_by",
        "deferred_by",
        "outgoing",
        "incoming",
        "watcher",
        "operator",
    }
)


def holds_person(column: str) -> bool:
    """Whether a column of a row holds a person."""
    return column in PERSON_COLUMNS or column.endswith(("person_key", "person_keys", "_person"))


def without_persons(row: Row) -> dict[str, object]:
    """The values of a row with every person replaced; empty stays empty."""
    return {
        name: A_PERSON if holds_person(name) and value is not None else value
        for name, value in row.items()
    }

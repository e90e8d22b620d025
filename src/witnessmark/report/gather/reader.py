"""Asks the timeline for rows, deriving first whatever a query reads.

A question that cannot be answered is noted and gives no rows: one broken derived table costs its
picture, never the paper, and the paper says so. This module words nothing else.
"""

from collections.abc import Mapping
from datetime import UTC, datetime

import duckdb

from witnessmark.records.store import Store
from witnessmark.timeline.build import Timeline
from witnessmark.timeline.sql_file import PARAMETER, tables_of

Found = dict[str, object]


class Reader:
    """Reads canonical and derived tables by SQL.

    Args:
        timeline: The timeline of the run.
    """

    def __init__(self, timeline: Timeline) -> None:
        self.timeline = timeline
        self.faults: list[str] = []

    @property
    def store(self) -> Store:
        """The store behind the timeline."""
        return self.timeline.store

    @property
    def zone(self) -> str:
        """Name of the plant's zone."""
        return self.store.zone.key

    def rows(self, what: str, query: str, given: Mapping[str, object] | None = None) -> list[Found]:
        """Rows by column name, instants aware and in UTC.

        Args:
            what: The picture or sentence they are for; named where they cannot be had.
            query: One select; a parameter that is no criterion must be given.
            given: Values of further parameters.
        """
        given = {name: _naive(value) for name, value in (given or {}).items()}
        try:
            self.timeline.require(tables_of(query))
            named = set(PARAMETER.findall(query)) - set(given)
            found = self.store.con.execute(query, self.timeline.parameters(sorted(named)) | given)
            names = [column[0] for column in found.description or []]
            return [
                {name: _aware(value) for name, value in zip(names, row, strict=True)}
                for row in found.fetchall()
            ]
        except duckdb.Error as error:
            self.faults.append(f"{what} could not be made: {str(error).splitlines()[0]}")
            return []

    def one(self, what: str, query: str, given: Mapping[str, object] | None = None) -> Found | None:
        """The first row, or nothing."""
        rows = self.rows(what, query, given)
        return rows[0] if rows else None


def _aware(value: object) -> object:
    if isinstance(value, datetime) and value.tzinfo is None:
        return value.replace(tzinfo=UTC)
    if isinstance(value, list):
        return [_aware(item) for item in value]
    if isinstance(value, dict):
        return {name: _aware(item) for name, item in value.items()}
    return value


def _naive(value: object) -> object:
    """The store knows UTC only; an instant with a zone would be compared in the session's."""
    if isinstance(value, datetime) and value.tzinfo is not None:
        return value.astimezone(UTC).replace(tzinfo=None)
    return value


def instant(value: object) -> datetime:
    """A value that the query promises to be an instant.

    Raises:
        TypeError: It is none.
    """
    if not isinstance(value, datetime):
        raise TypeError(f"{value!r} is no instant")
    return value


def whole(value: object) -> int:
    """A value that the query promises to be a whole number; nothing counts as zero."""
    return int(str(value)) if value is not None else 0

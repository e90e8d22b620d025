"""How a canonical table is declared: columns, types, units, key, and what empty means.

A declaration is data. Reading, typing, freezing and the data dictionary all work from it; this
module knows none of them.
"""

from dataclasses import dataclass
from typing import Literal

ColumnType = Literal["text", "int", "decimal", "bool", "date", "instant", "list"]

SQL_TYPES: dict[ColumnType, str] = {
    "text": "varchar",
    "int": "bigint",
    "decimal": "decimal(18, 6)",
    "bool": "boolean",
    "date": "date",
    "instant": "timestamp",
    "list": "varchar[]",
}
"""What each type is in the store. An instant is UTC; its companions are `<name>_offset_min`
(smallint, what the written time was ahead of UTC) and `<name>_quality` (s, min, h, day,
ambiguous)."""

ORIGIN: dict[str, str] = {"extract_id": "varchar", "source_row": "bigint"}
"""Columns that every row carries beside its own: which extract and which row of it."""


@dataclass(frozen=True)
class Column:
    """One column of a canonical table.

    Args:
        name: Canonical name; carries its unit where it has one.
        type: One of the seven types.
        about: What it says, and what empty means.
        unit: Unit as printed in the dictionary.
        key: Part of the table's key.
        optional: May be empty or left out. An optional key column is skipped in a ref when empty.
        words: Closed vocabulary, extended by a mapping's value map; another word is refused.
    """

    name: str
    type: ColumnType
    about: str
    unit: str = ""
    key: bool = False
    optional: bool = False
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class Table:
    """One canonical table.

    Args:
        name: Its one name, in files, mappings, case files and SQL.
        group: Heading under which the dictionary shows it.
        about: What a row is, in one sentence, and where plants usually keep it.
        columns: In the order of the dictionary.
        ranges: Pairs of columns (from, to) in which `to` may not lie before `from`.
    """

    name: str
    group: str
    about: str
    columns: tuple[Column, ...]
    ranges: tuple[tuple[str, str], ...] = ()

    @property
    def key(self) -> tuple[str, ...]:
        """Names of the key columns, in order."""
        return tuple(column.name for column in self.columns if column.key)

    @property
    def instants(self) -> tuple[str, ...]:
        """Names of the columns that hold an instant."""
        return tuple(column.name for column in self.columns if column.type == "instant")

    def column(self, name: str) -> Column:
        """The column of that name.

        Raises:
            KeyError: There is none.
        """
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)

    def stored_columns(self) -> dict[str, str]:
        """Every column as stored, with its SQL type: own ones, companions of instants, origin."""
        stored: dict[str, str] = {}
        for column in self.columns:
            stored[column.name] = SQL_TYPES[column.type]
            if column.type == "instant":
                stored[f"{column.name}_offset_min"] = "smallint"
                stored[f"{column.name}_quality"] = "varchar"
        return stored | ORIGIN

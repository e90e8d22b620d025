"""Texts and names as SQL writes them; every query of this layer is put together from these."""

from collections.abc import Iterable


def quote(text: str) -> str:
    """A text as an SQL literal."""
    return "'" + text.replace("'", "''") + "'"


def name_sql(name: str) -> str:
    """A column name as an SQL identifier."""
    return '"' + name.replace('"', '""') + '"'


def listed(columns: Iterable[str]) -> str:
    """Columns as SQL writes them one after the other."""
    return ", ".join(map(name_sql, columns))

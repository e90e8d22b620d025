"""Texts and names as SQL writes them; every query of this layer is put together from these."""


def quote(text: str) -> str:
    """A text as an SQL literal."""
    return "'" + text.replace("'", "''") + "'"


def name_sql(name: str) -> str:
    """A column name as an SQL identifier."""
    return '"' + name.replace('"', '""') + '"'

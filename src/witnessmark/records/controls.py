"""The plant's own figures held against what was loaded: compared and stated, never adjusted."""

from collections.abc import Sequence
from decimal import Decimal

import duckdb

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.extract import ControlFigure, Extract
from witnessmark.records.manifest import ControlTotal
from witnessmark.records.numbers import number_sql, read_number
from witnessmark.records.raw import ROW, RawTable
from witnessmark.records.sql_text import name_sql


def compare_controls(
    con: duckdb.DuckDBPyConnection, number: int, extract: Extract, raw: RawTable
) -> list[ControlTotal]:
    """Every figure that a mapping names for a file, with what was found in the loaded rows.

    Args:
        con: Connection of the work database.
        number: The extract's feed number.
        extract: The file.
        raw: Its raw rows.

    Raises:
        UnusableInputError: A figure that cannot be read, a column or totals row that is not there.
    """
    faults: list[Fault] = []
    totals = []
    for figure in extract.controls:
        try:
            totals.append(_compare(con, number, extract, raw, figure))
        except UnusableInputError as error:
            faults += error.faults
    if faults:
        raise UnusableInputError(faults)
    return totals


def _compare(
    con: duckdb.DuckDBPyConnection,
    number: int,
    extract: Extract,
    raw: RawTable,
    figure: ControlFigure,
) -> ControlTotal:
    where = Where(extract.name, extract.sheet, column=figure.column)
    if figure.column is not None and figure.column not in raw.headings:
        raise UnusableInputError.one(where, "control: the file has no such column.")
    written = _written(figure, raw, where)
    stated = read_number(written, figure.form)
    if stated is None:
        raise UnusableInputError.one(where, f'control: "{written}" is no number.')
    refused = f"select file_row from turned_away where feed = {number}"
    asked = (
        f"sum(try_cast({number_sql(f'trim({name_sql(figure.column)})', figure.form)} "
        "as decimal(28, 6)))"
        if figure.column is not None
        else "count(*)"
    )
    row = con.execute(
        f"select coalesce({asked}, 0) from {raw.relation} where {name_sql(ROW)} not in ({refused})"
    ).fetchone()
    found = Decimal(row[0]) if row else Decimal(0)
    return ControlTotal(
        what=f"sum of {figure.column}" if figure.column else "rows",
        source=figure.source,
        stated=_plain(stated),
        found=_plain(found),
        tolerance=_plain(figure.tolerance),
        agrees=abs(found - stated) <= figure.tolerance,
    )


def _written(figure: ControlFigure, raw: RawTable, where: Where) -> str:
    if figure.stated is not None:
        return figure.stated.strip()
    cells: Sequence[str] = raw.last_skipped.get(figure.totals_row or "", ())
    place = raw.headings.index(figure.column) if figure.column else None
    if place is None or place >= len(cells):
        raise UnusableInputError.one(
            where, f'control: no row of the kind "{figure.totals_row}" holds this figure.'
        )
    return cells[place].strip()


def _plain(value: Decimal) -> str:
    return format(value.normalize() + 0, "f")

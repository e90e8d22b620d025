"""What a mapping leaves open and the column itself must prove: date order and decimal mark.

Where the cells prove it, the reading is settled and said in the manifest; where they leave it open
the load stops and the rows that leave it open are shown. This module reads cells through SQL and
knows no file.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import duckdb

from witnessmark.errors import Fault, Where
from witnessmark.records.cells import Reading, face
from witnessmark.records.dates import ISO, SERIAL, Proof, prove_order
from witnessmark.records.mapping import Source
from witnessmark.records.numbers import CLOCKS, MarkProof, NumberForm, prove_marks
from witnessmark.records.sql_text import quote

SHAPES = 5000
SHOWN_ROWS = 3
DATE_PART = r"^\d{1,4}[./-]\d{1,2}[./-]\d{1,4}"
SERIAL_SHAPE = r"^\d{5}([.,]\d+)?$"


@dataclass(frozen=True)
class Decision:
    """A column's reading, what is said of it, and what is wrong with it."""

    reading: Reading
    notes: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()


def opposite(decimal: str) -> str:
    """The mark that is left for thousands."""
    return "," if decimal == "." else "."


def decide(
    con: duckdb.DuckDBPyConnection,
    texts: str,
    reading: Reading,
    source: Source,
    where: Where,
) -> Decision:
    """Settles how a column is read.

    Args:
        con: Connection that holds the raw rows.
        texts: SQL with `#row` and the face `v:x` of the column.
        reading: The column and what the mapping says of it.
        source: Defaults of the file.
        where: The file, for faults.
    """
    column, spec = reading.column, reading.spec
    if column.type in ("date", "instant") and spec.tolerance is None:
        return _decide_date(con, texts, reading, source, where)
    if spec.tolerance is not None or (
        column.type in ("int", "decimal") and spec.unit not in CLOCKS
    ):
        return _decide_number(con, texts, reading, source, where)
    return Decision(reading)


def _place(reading: Reading, where: Where, row: int) -> Where:
    heading = " + ".join(reading.spec.headings) or reading.column.name
    return replace(where, row=row, column=heading)


def _decide_number(
    con: duckdb.DuckDBPyConnection, texts: str, reading: Reading, source: Source, where: Where
) -> Decision:
    decimal = reading.spec.decimal or source.decimal
    if decimal is not None:
        thousands = reading.spec.thousands or source.thousands or opposite(decimal)
        return Decision(replace(reading, number=NumberForm(decimal, thousands)))
    name = face("v", reading.column.name)
    cut = name
    if reading.spec.tolerance is not None:
        cut = f"unnest(regexp_extract_all({name}, '[0-9][0-9.,]*'))"
    shapes = con.execute(
        f'select min("#row"), arg_min(number, "#row") from (select "#row", {cut} as number '
        f"from ({texts})) where number is not null "
        # Digits are alike, but a leading zero is not: 0,123 cannot be a thousand of anything.
        "group by regexp_replace(regexp_replace(number, '^([+-]?)0', '\\1o'), '[0-9]', '9', 'g') "
        f"order by 1 limit {SHAPES}"
    ).fetchall()
    proof = prove_marks(shapes)
    if proof.form is None:
        return Decision(reading, faults=_mark_faults(reading, proof, where))
    return Decision(replace(reading, number=proof.form))


def _mark_faults(reading: Reading, proof: MarkProof, where: Where) -> tuple[Fault, ...]:
    what = (
        "cells contradict each other about the decimal mark"
        if proof.contradictory
        else "nobody can tell the decimal mark from the thousands mark here"
    )
    return tuple(
        Fault(
            _place(reading, where, row),
            f'"{text}": {what}.',
            mend='Say decimal = "," or decimal = "." in mapping.toml.',
        )
        for row, text in proof.open_rows[:SHOWN_ROWS]
    )


def _decide_date(
    con: duckdb.DuckDBPyConnection, texts: str, reading: Reading, source: Source, where: Where
) -> Decision:
    stated = reading.spec.format or source.dates
    epoch = reading.spec.epoch or source.epoch
    if stated is not None:
        number = NumberForm(reading.spec.decimal or source.decimal or ".")
        return Decision(replace(reading, date=stated, epoch=epoch, number=number))
    name = face("v", reading.column.name)
    tokens = con.execute(
        f'select min("#row"), day from (select "#row", regexp_extract({name}, '
        f"{quote(DATE_PART)}) as day from ({texts}) "
        f"where not regexp_matches({name}, {quote(ISO)})) "
        f"where day <> '' group by day order by 1"
    ).fetchall()
    proof = prove_order(tokens)
    if proof.open_rows or (tokens and not proof.forms):
        return Decision(reading, faults=_order_faults(reading, proof, tokens, where))
    serial = con.execute(
        f'select min("#row"), arg_min({name}, "#row") from ({texts}) '
        f"where regexp_matches({name}, {quote(SERIAL_SHAPE)})"
    ).fetchone()
    if not tokens and serial is not None and serial[0] is not None:
        return Decision(reading, faults=(_serial_fault(reading, serial[0], serial[1], where),))
    form = proof.forms[0] if proof.forms else "YYYY-MM-DD"
    note = _order_note(reading, proof, form)
    return Decision(replace(reading, date=form), notes=(note,) if tokens else ())


def _order_note(reading: Reading, proof: Proof, form: str) -> str:
    heading = " + ".join(reading.spec.headings)
    against = [f"row {row} ({text})" for row, text in list(proof.witnesses.values())[:1]]
    return f'dates in "{heading}" read as {form}' + (f", proved by {against[0]}" if against else "")


def _order_faults(
    reading: Reading, proof: Proof, tokens: Sequence[tuple[int, str]], where: Where
) -> tuple[Fault, ...]:
    if proof.open_rows:
        forms = " or ".join(proof.forms)
        what, rows = f"may be {forms}, and no row proves which", proof.open_rows
    else:
        what = "no one date order fits this and the other rows"
        rows = tuple(proof.witnesses.values()) or tuple(tokens)
    return tuple(
        Fault(
            _place(reading, where, row),
            f'"{text}" {what}.',
            mend='Say format = "DD.MM.YYYY" (or the right order) in mapping.toml.',
        )
        for row, text in dict.fromkeys(rows[:SHOWN_ROWS])
    )


def _serial_fault(reading: Reading, row: int, text: str, where: Where) -> Fault:
    return Fault(
        _place(reading, where, row),
        f'"{text}" looks like a serial date, and its epoch is not stated.',
        mend=f'Say format = "{SERIAL}" and epoch = 1900 (or 1904) in mapping.toml.',
    )

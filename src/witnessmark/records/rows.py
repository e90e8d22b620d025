"""Which rows of a file are data: preamble, header, page lines, totals and blanks told apart.

Works on rows of cells, whatever file they come from. Every row that is not data is counted under
its kind, so that rows = header + skipped + data always holds. This module knows no file format.
"""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import duckdb

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.raw import RawTable, RawWriter, tell_apart

Record = tuple[int, Sequence[str], str | None]


@dataclass(frozen=True)
class SkipRule:
    """Rows that are no data, by what one of their cells, or any of them, looks like.

    Args:
        kind: What such a row is, in the manifest's words (page line, total, trailer).
        matches: Regular expression that the cell matches from its start.
        column: Heading of the cell; none: the row's first filled cell.
    """

    kind: str
    matches: re.Pattern[str]
    column: str | None = None


@dataclass(frozen=True)
class Layout:
    """Where the header stands and which rows are no data.

    Args:
        header_row: Number of the (first) header row.
        header_rows: How many rows make the header; their cells are joined, merged ones carried on.
        skip: Rows that are no data.
        carried: Headings whose empty cells repeat the cell above.
        short_rows_fill: Whether a row with too few cells is a row with empty last cells.
    """

    header_row: int = 1
    header_rows: int = 1
    skip: tuple[SkipRule, ...] = ()
    carried: tuple[str, ...] = ()
    short_rows_fill: bool = False

    @property
    def plain(self) -> bool:
        """Whether the first row is the header and every other one is data."""
        return self == Layout()


@dataclass
class RowSorter:
    """Sorts the records of one file into data and the rest."""

    layout: Layout
    name: str
    sheet: str | None = None
    skipped: Counter[str] = field(default_factory=Counter)
    last_skipped: dict[str, Sequence[str]] = field(default_factory=dict)

    def sort(
        self,
        con: duckdb.DuckDBPyConnection,
        relation: str,
        records: Iterable[Record],
        notes: tuple[str, ...] = (),
    ) -> RawTable:
        """Writes the data rows into a table.

        Raises:
            UnusableInputError: The header is not where it should be.
        """
        source = iter(records)
        header: list[Sequence[str]] = []
        preamble: list[str] = []
        number = 0
        for number, cells, _ in source:
            if number < self.layout.header_row:
                self.skipped["preamble"] += 1
                preamble.append(" ".join(cell.strip() for cell in cells if cell.strip()))
                continue
            header.append(cells)
            if len(header) == self.layout.header_rows:
                break
        if len(header) < self.layout.header_rows or not any(c.strip() for r in header for c in r):
            raise UnusableInputError.one(
                Where(self.name, self.sheet, self.layout.header_row), "there is no header here."
            )
        self.skipped["header"] += len(header)
        headings = tell_apart(_joined(header))
        self._check_named(headings)
        writer = RawWriter(con, relation, headings)
        lines = self._write(source, writer, headings, header, number)
        return RawTable(
            relation=relation,
            headings=headings,
            rows=writer.count,
            lines=lines,
            skipped=dict(self.skipped),
            notes=notes,
            preamble="\n".join(preamble),
            last_skipped=self.last_skipped,
        )

    def _check_named(self, headings: tuple[str, ...]) -> None:
        named = [*self.layout.carried, *(r.column for r in self.layout.skip if r.column)]
        faults = [
            Fault(Where(self.name, self.sheet, column=name), "the file has no such column.")
            for name in dict.fromkeys(named)
            if name not in headings
        ]
        if faults:
            shown = Fault(
                Where(self.name, self.sheet), f"the header that was read is: {'; '.join(headings)}."
            )
            raise UnusableInputError([*faults, shown])

    def _write(
        self,
        source: Iterable[Record],
        writer: RawWriter,
        headings: tuple[str, ...],
        header: Sequence[Sequence[str]],
        number: int,
    ) -> int:
        repeated = {_bare(row) for row in header}
        beginnings = {row[0] if row else "" for row in repeated}
        carried = {headings.index(name): "" for name in self.layout.carried if name in headings}
        rules = [(rule, _place(rule, headings)) for rule in self.layout.skip]
        lines = number
        for number, cells, fault in source:  # noqa: PLR1704  # counting goes on where it stood
            lines = number
            kind = None if fault else _kind(cells, repeated, beginnings, rules)
            if kind:
                self.skipped[kind] += 1
                self.last_skipped[kind] = cells
                continue
            row = _carry(cells, carried) if carried else cells
            writer.add(number, row, fault or self._width_fault(row, len(headings)))
        writer.flush()
        return lines

    def _width_fault(self, cells: Sequence[str], width: int) -> str | None:
        count = len(cells)
        if count == width or (count > width and not any(cells[width:])):
            return None
        if count < width and self.layout.short_rows_fill:
            return None
        return f"{count} cells, where the header has {width}"


def _joined(header: Sequence[Sequence[str]]) -> list[str]:
    """One heading per column from several header rows; a merged upper cell holds to its right."""
    width = max(len(row) for row in header)
    parts: list[list[str]] = [[] for _ in range(width)]
    for depth, row in enumerate(header):
        held = ""
        for place in range(width):
            cell = row[place].strip() if place < len(row) else ""
            held = cell or (held if depth < len(header) - 1 else "")
            if held:
                parts[place].append(held)
    headings = [" ".join(part) for part in parts]
    while headings and not headings[-1]:
        headings.pop()
    return headings


def _bare(cells: Sequence[str]) -> tuple[str, ...]:
    row = [cell.strip() for cell in cells]
    while row and not row[-1]:
        row.pop()
    return tuple(row)


def _place(rule: SkipRule, headings: tuple[str, ...]) -> int | None:
    return headings.index(rule.column) if rule.column in headings else None


def _kind(
    cells: Sequence[str],
    repeated: set[tuple[str, ...]],
    beginnings: set[str],
    rules: Sequence[tuple[SkipRule, int | None]],
) -> str | None:
    """What a row is that is no data, or nothing; most rows are data and are told so at one look."""
    if not any(cells) or not any(cell.strip() for cell in cells):
        return "blank"
    if cells[0].strip() in beginnings and _bare(cells) in repeated:
        return "repeated header"
    for rule, place in rules:
        cell = _first_filled(cells) if place is None else _cell(cells, place)
        if rule.matches.match(cell):
            return rule.kind
    return None


def _first_filled(cells: Sequence[str]) -> str:
    return next(bare for cell in cells if (bare := cell.strip()))


def _cell(cells: Sequence[str], place: int) -> str:
    return cells[place].strip() if place < len(cells) else ""


def _carry(cells: Sequence[str], carried: dict[int, str]) -> list[str]:
    row = list(cells)
    for place, held in carried.items():
        if place < len(row) and row[place].strip():
            carried[place] = row[place]
        elif place < len(row):
            row[place] = held
    return row

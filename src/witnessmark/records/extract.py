"""What is to be read: one file or sheet, and the canonical tables that its rows feed.

Made from a mapping, or from a file that is already in canonical names. This module reads nothing.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from pathlib import Path
from zoneinfo import ZoneInfo

import duckdb

from witnessmark.records.numbers import NumberForm
from witnessmark.records.raw import RawTable
from witnessmark.records.read_csv import CsvForm
from witnessmark.records.rows import Layout
from witnessmark.records.table import Table

EVERY_ROW = "true"


@dataclass(frozen=True)
class Part:
    """One canonical table that an extract feeds.

    Args:
        table: The declaration.
        columns: The canonical columns that it gives.
        select: SQL over the raw rows: text in canonical columns, `source_row`, `file_row`,
            `extract_id`, `faults`.
        headings: What the file calls each canonical column, for people.
        personal: Canonical columns whose writing may name a person.
        claims: SQL condition of the raw rows that it takes.
        may_make_nothing: Whether a row that it takes may make no entry (a wide row left blank).
        is_plain: Whether `select` only renames columns, so that it need not be kept.
        keep_overlaps: Whether rows of one machine that overlap in time are kept.
        notes: How open questions about the writing were settled.
    """

    table: Table
    columns: tuple[str, ...]
    select: str
    headings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    personal: frozenset[str] = frozenset()
    claims: str = EVERY_ROW
    may_make_nothing: bool = False
    is_plain: bool = False
    keep_overlaps: bool = False
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class ControlFigure:
    """A figure of the plant's own: what is summed, what it should be, where it comes from.

    Args:
        column: Heading whose loaded cells are summed; none: loaded rows are counted.
        stated: The figure as written; none: it stands in the last skipped row of a kind.
        totals_row: That kind.
        source: Where the figure comes from.
        tolerance: By how much the two may differ.
        form: How its numbers are written.
    """

    column: str | None
    stated: str | None
    totals_row: str | None
    source: str
    tolerance: Decimal
    form: NumberForm


@dataclass(frozen=True)
class Extract:
    """One file or sheet, how it is read and what it feeds.

    Args:
        path: The file.
        name: Its name below the folder; also the extract's id, with the sheet where there is one.
        zone: Zone of its local times.
        parts: The tables that it feeds, once its raw rows are there.
        sheet: Sheet of a workbook.
        form: How a text file is written.
        layout: Where the header stands and which rows are no data.
        about: Further columns of `extracts`, as text: system, clock_id, owner_role, ...
        period: First and last day that the file claims to cover.
        controls: Figures to reconcile with.
        merged_fill: Whether every cell of a merged range has its value.
        fill_colours: Headings whose cell colours are read.
        mended: File with mended rows, if there is one.
        shows_all: Whether refused rows may be shown whole (files in canonical names hold no
            persons but by key or place).
    """

    path: Path
    name: str
    zone: ZoneInfo
    parts: Callable[[duckdb.DuckDBPyConnection, RawTable], tuple[Part, ...]]
    sheet: str | None = None
    form: CsvForm = field(default_factory=CsvForm)
    layout: Layout = field(default_factory=Layout)
    about: dict[str, str] = field(default_factory=dict)
    period: tuple[date | None, date | None] = (None, None)
    controls: tuple[ControlFigure, ...] = ()
    merged_fill: bool = False
    fill_colours: tuple[str, ...] = ()
    mended: Path | None = None
    shows_all: bool = True

    @property
    def extract_id(self) -> str:
        """The id of the extract."""
        return self.name if self.sheet is None else f"{self.name}/{self.sheet}"

    @property
    def mend_name(self) -> str:
        """Name of the file in which its refused rows are mended."""
        flat = self.extract_id.replace("/", "__")
        return flat if flat.lower().endswith(".csv") else f"{flat}.csv"

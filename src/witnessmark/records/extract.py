"""What is to be read: one file or sheet, and the canonical tables that its rows feed.

Made from a mapping, or from a file that is already in canonical names. This module reads nothing.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

from witnessmark.records.raw import RawTable
from witnessmark.records.read_csv import CsvForm
from witnessmark.records.rows import Layout
from witnessmark.records.table import Table


@dataclass(frozen=True)
class Part:
    """One canonical table that an extract feeds.

    Args:
        table: The declaration.
        columns: The canonical columns that it gives.
        select: SQL over the raw rows: text in canonical columns, `source_row`, `file_row`,
            `extract_id`, `faults`.
    """

    table: Table
    columns: tuple[str, ...]
    select: Callable[[RawTable], str]


@dataclass(frozen=True)
class Extract:
    """One file or sheet, how it is read and what it feeds.

    Args:
        path: The file.
        name: Its name below the folder; also the extract's id, with the sheet where there is one.
        zone: Zone of its local times.
        parts: The tables that it feeds.
        sheet: Sheet of a workbook.
        form: How a text file is written.
        layout: Where the header stands and which rows are no data.
        about: Further columns of `extracts`, as text: system, clock_id, owner_role, ...
        period: First and last day that the file claims to cover.
    """

    path: Path
    name: str
    zone: ZoneInfo
    parts: Callable[[RawTable], tuple[Part, ...]]
    sheet: str | None = None
    form: CsvForm = field(default_factory=CsvForm)
    layout: Layout = field(default_factory=Layout)
    about: dict[str, str] = field(default_factory=dict)
    period: tuple[date | None, date | None] = (None, None)

    @property
    def extract_id(self) -> str:
        """The id of the extract."""
        return self.name if self.sheet is None else f"{self.name}/{self.sheet}"

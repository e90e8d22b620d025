"""mapping.toml: how a plant's writing becomes canonical text, declared and checked.

A mapping names for every file what it feeds and for every canonical column where it comes from.
This module says what a mapping may hold; it
reads no export and does none of the work (mapping_file.py checks, feeds.py and cells.py do).

Pseudo-headings stand beside the file's own: `<row>` the row's number, `<file>` and `<sheet>` their
names, `<preamble>` the text above the header, and in a feed that is unpivoted `<heading>`,
`<cell>`, `<entry>` (number of the entry inside a cell) and `<fill>` (the cell's colour).
"""

from datetime import date
from typing import Annotated, Literal

import msgspec

FILE = "mapping.toml"
PSEUDO = ("<row>", "<file>", "<sheet>", "<preamble>")
UNPIVOTED = ("<heading>", "<cell>", "<entry>", "<fill>")

Mark = Literal[".", ","]
Thousands = Literal[".", ",", "'", " "]
Positive = Annotated[int, msgspec.Meta(ge=1)]


class ColumnSpec(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Where one canonical column comes from and how its writing is read.

    Args:
        from_: One heading, or several whose cells are joined (date and time of an instant).
        constant: The same text in every row, instead of a heading.
        join: What stands between joined cells.
        prefix: Text put before the value, for readable ids.
        suffix: Text put behind it, such as ".01.2026" behind a day column's heading.
        number_within: Numbers the rows that agree in these headings, in file order.
        empty: Cells that mean "nothing" (such as "-", "n/a", or "00:00" for an unknown time).
        blank_is: What a blank cell means, where the plant leaves out zeros.
        pattern: Regular expression; its first group, or all of it, is the value.
        no_match: What a cell is that the pattern does not match.
        values: The plant's words and what they are in canonical words ("" for nothing).
        other: What a word is that `values` does not name.
        split: What stands between the items of a list.
        format: How dates are written, such as DD.MM.YYYY or "DD.MM.YYYY HH:MM", or serial.
        epoch: First year of serial dates.
        decimal: The decimal mark.
        thousands: The mark between thousands.
        unit: Unit of the plant's number, or h:mm, mm:ss for durations.
        times: What the number is multiplied with (1000 for thousand pieces).
        tolerance: Which part of a tolerance text such as "12,70 ±0,05" is meant.
        unreadable: What a cell is that cannot be read as date or number.
        pad_zeros: Width to which an id is filled up with zeros on the left.
        pseudonym: The value names a person and becomes a keyed pseudonym.
        place_of: The value names a person and becomes a place number of what this heading names.
        is_role: The value is a role or a place already, no person.
    """

    from_: str | list[str] | None = msgspec.field(default=None, name="from")
    constant: str | None = None
    join: str = " "
    prefix: str = ""
    suffix: str = ""
    number_within: list[str] | None = None
    empty: list[str] = []
    blank_is: str | None = None
    pattern: str | None = None
    no_match: Literal["refuse", "empty", "keep"] = "refuse"
    values: dict[str, str] | None = None
    other: Literal["refuse", "empty", "keep"] = "refuse"
    split: str | None = None
    format: str | None = None
    epoch: Literal[1900, 1904] | None = None
    decimal: Mark | None = None
    thousands: Thousands | None = None
    unit: str | None = None
    times: int | float | None = None
    tolerance: Literal["nominal", "lower", "upper"] | None = None
    unreadable: Literal["refuse", "empty"] = "refuse"
    pad_zeros: Positive | None = None
    pseudonym: bool = False
    place_of: str | None = None
    is_role: bool = False

    @property
    def headings(self) -> tuple[str, ...]:
        """The headings that it reads, in order."""
        if self.from_ is None:
            return ()
        return (self.from_,) if isinstance(self.from_, str) else tuple(self.from_)


class Condition(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What a cell must look like for its row to be taken.

    Args:
        matches: Regular expression found in the cell.
        is_not: Cells that are not taken.
    """

    matches: str | None = None
    is_not: list[str] = []


class Unpivot(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A wide table turned long: one row per cell of the named columns.

    Args:
        columns: Headings of the columns.
        columns_match: Or a regular expression that their headings match from the start.
        split: Regular expression between several entries of one cell.
        blank_cells: Whether a blank cell is a row.
    """

    columns: list[str] = []
    columns_match: str | None = None
    split: str | None = None
    blank_cells: Literal["skip", "keep"] = "skip"


class Feed(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One canonical table that a source feeds.

    Args:
        table: Its name.
        columns: Canonical column: a heading, several headings, or a full description.
        only_where: Heading: the cell, or one of the cells, or a condition, that rows must show.
        unpivot: How a wide table becomes long.
        time_is: Where the export has one time only: what it is.
        overlap: What rows of one machine are that overlap in time.
        overlap_reason: Why they are kept.
    """

    table: str
    columns: dict[str, str | list[str] | ColumnSpec]
    only_where: dict[str, str | list[str] | Condition] = {}
    unpivot: Unpivot | None = None
    time_is: Literal["done", "entered"] | None = None
    overlap: Literal["refuse", "keep"] = "refuse"
    overlap_reason: str = ""

    @property
    def specs(self) -> dict[str, ColumnSpec]:
        """Every column in its full form."""
        return {
            name: spec if isinstance(spec, ColumnSpec) else ColumnSpec(from_=spec)
            for name, spec in self.columns.items()
        }


class SkipRows(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Rows that are no data: their kind, and what a cell of theirs matches from its start.

    Args:
        kind: Such as "page line", "total", "trailer".
        matches: Regular expression.
        column: Heading of the cell; none: the first filled cell of the row.
    """

    kind: str
    matches: str
    column: str | None = None


class Control(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A figure of the plant's own to reconcile with.

    Args:
        column: Heading whose loaded cells are summed; none: loaded rows are counted.
        stated: The plant's figure, written as the file writes numbers.
        totals_row: Or the kind of the skipped row that holds it in the same column.
        source: Where the figure comes from.
        tolerance: By how much the two may differ.
    """

    source: str
    column: str | None = None
    stated: str | None = None
    totals_row: str | None = None
    tolerance: str = "0"


class Source(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One export, or several of one form.

    Args:
        file: Name below the folder; * and ? stand for any characters.
        feed: What it feeds.
        sheet: Sheet of a workbook, * and ? as above; none: its only sheet.
        system: The system it was pulled from; "paper" for sheets typed in by hand.
        clock_id: The clock that stamped its times.
        owner_role: Role that owns the data.
        pulled_at: When it was pulled, as 2026-03-29 01:45.
        filter_text: The filter that was set.
        period: First and last day that it claims to cover.
        zone: Zone of its local times, where it is not the plant's.
        encoding: Such as cp1252; none: found out.
        delimiter: The character between cells; none: found out.
        header_row: Row of the header, the first if there are several.
        header_rows: How many rows make the header.
        carry_down: Headings whose blank cells repeat the cell above.
        merged: Whether every cell of a merged range has its value.
        fill_colours: Headings whose cell colours are read too, as "<heading> (fill)".
        short_rows: What a row with too few cells is.
        skip_rows_where: Rows that are no data.
        decimal: The decimal mark of its numbers.
        thousands: The mark between thousands.
        dates: How its dates are written.
        epoch: First year of its serial dates.
        control: Figures to reconcile with.
    """

    file: str
    feed: list[Feed]
    sheet: str | None = None
    system: str = ""
    clock_id: str = ""
    owner_role: str = ""
    pulled_at: str = ""
    filter_text: str = ""
    period: tuple[date, date] | None = None
    zone: str | None = None
    encoding: str | None = None
    delimiter: str | None = None
    header_row: Positive = 1
    header_rows: Positive = 1
    carry_down: list[str] = []
    merged: Literal["top-left", "fill"] = "top-left"
    fill_colours: list[str] = []
    short_rows: Literal["refuse", "fill"] = "refuse"
    skip_rows_where: list[SkipRows] = []
    decimal: Mark | None = None
    thousands: Thousands | None = None
    dates: str | None = None
    epoch: Literal[1900, 1904] | None = None
    control: list[Control] = []


class Mapping(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A whole mapping.

    Args:
        source: The exports.
        ignore: Files of the folder that are left alone on purpose.
    """

    source: list[Source]
    ignore: list[str] = []

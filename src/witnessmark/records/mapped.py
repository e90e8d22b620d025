"""The files of a folder that a mapping names, each with how it is read and what it feeds."""

import re
from collections.abc import Sequence
from decimal import Decimal
from fnmatch import fnmatchcase
from pathlib import Path

import duckdb

from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.decide import opposite
from witnessmark.records.extract import ControlFigure, Extract, Part
from witnessmark.records.feeds import KeySource, parts_of
from witnessmark.records.mapping import FILE, Mapping, Source
from witnessmark.records.numbers import NumberForm
from witnessmark.records.plant import Plant
from witnessmark.records.raw import RawTable
from witnessmark.records.read_csv import CsvForm
from witnessmark.records.readers import sheet_names
from witnessmark.records.rows import Layout, SkipRule
from witnessmark.records.zones import zone_of


def mapped_extracts(
    folder: Path, names: Sequence[str], mapping: Mapping, plant: Plant, key: KeySource
) -> list[Extract]:
    """The extracts of every file that a source takes.

    Args:
        folder: The folder of exports.
        names: Its readable files, below the folder.
        mapping: The mapping.
        plant: The plant's settings.
        key: Gives the pseudonym key.

    Raises:
        UnusableInputError: Sources that take no file, sheets that are not there, a sheet taken
            twice; all at once.
    """
    faults: list[Fault] = []
    taken: dict[tuple[str, str | None], int] = {}
    extracts = []
    for number, source in enumerate(mapping.source, 1):
        files = [name for name in names if fnmatchcase(name, source.file)]
        if not files:
            what = f'source {number}: no file of the folder is called "{source.file}".'
            faults.append(Fault(Where(FILE), what, mend=f"Files are: {', '.join(names)}."))
        for name in files:
            sheets, wrong = _sheets(folder / name, name, source)
            faults += wrong
            for sheet in sheets:
                if (name, sheet) in taken:
                    what = f"source {number}: source {taken[name, sheet]} takes this file already."
                    faults.append(
                        Fault(Where(name, sheet), what, mend="Give one source two feeds.")
                    )
                taken[name, sheet] = number
                extracts.append(_extract(folder / name, name, sheet, source, plant, key))
    if faults:
        raise UnusableInputError(faults)
    return extracts


def _sheets(path: Path, name: str, source: Source) -> tuple[list[str | None], list[Fault]]:
    sheets = sheet_names(path, name)
    if sheets is None:
        return [None], []
    if source.sheet is None:
        if len(sheets) == 1:
            return [sheets[0]], []
        what = "the workbook has several sheets, and the mapping names none."
    else:
        found: list[str | None] = [s for s in sheets if fnmatchcase(s, source.sheet)]
        if found:
            return found, []
        what = f'the workbook has no sheet "{source.sheet}".'
    return [], [Fault(Where(name), what, mend=f"Sheets are: {', '.join(sheets)}.")]


def _extract(
    path: Path, name: str, sheet: str | None, source: Source, plant: Plant, key: KeySource
) -> Extract:
    about = {
        "system": source.system,
        "clock_id": source.clock_id,
        "owner_role": source.owner_role,
        "pulled_at": source.pulled_at,
        "filter_text": source.filter_text,
    }

    def parts(con: duckdb.DuckDBPyConnection, raw: RawTable) -> tuple[Part, ...]:
        return parts_of(con, raw, source, extract, key)

    extract = Extract(
        path=path,
        name=name,
        zone=zone_of(source.zone, Where(FILE)) if source.zone else plant.zone_info,
        parts=parts,
        sheet=sheet,
        form=CsvForm(source.encoding, source.delimiter),
        layout=_layout(source),
        about={key: value for key, value in about.items() if value},
        period=source.period or (None, None),
        controls=_controls(source),
        merged_fill=source.merged == "fill",
        fill_colours=tuple(source.fill_colours),
        shows_all=False,
    )
    return extract


def _layout(source: Source) -> Layout:
    return Layout(
        header_row=source.header_row,
        header_rows=source.header_rows,
        skip=tuple(
            SkipRule(rule.kind, re.compile(rule.matches), rule.column)
            for rule in source.skip_rows_where
        ),
        carried=tuple(source.carry_down),
        short_rows_fill=source.short_rows == "fill",
    )


def _controls(source: Source) -> tuple[ControlFigure, ...]:
    decimal = source.decimal or "."
    form = NumberForm(decimal, source.thousands or opposite(decimal))
    return tuple(
        ControlFigure(
            column=control.column,
            stated=control.stated,
            totals_row=control.totals_row,
            source=control.source,
            tolerance=Decimal(control.tolerance),
            form=form,
        )
        for control in source.control
    )

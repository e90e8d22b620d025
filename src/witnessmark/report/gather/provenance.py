"""Where the numbers come from: files, hashes, row counts, control totals, and how to repeat them.

Taken from the manifest of the freeze, never recounted here.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

import witnessmark
from witnessmark.errors import Where
from witnessmark.record_tests.persons import holds_person
from witnessmark.records.freeze import Freeze
from witnessmark.records.manifest import ControlTotal, FrozenExtract, Manifest
from witnessmark.records.mend import REFUSED
from witnessmark.report.model import Provenance, RefusedRow, SourceFile
from witnessmark.report.words import plural

SHOWN_REFUSED = 100


@dataclass(frozen=True)
class Origin:
    """What the paper needs to know beside the run.

    Args:
        plant: How the plant is called in the title.
        tool_version: Version that makes the paper.
        manifest: Manifest of the freeze; None for tables in memory.
        mapping: Text of the mapping that was used, "" where the files had canonical names.
        refused: Rows that were not loaded, as many as are to be shown.
    """

    plant: str
    tool_version: str
    manifest: Manifest | None = None
    mapping: str = ""
    refused: tuple[RefusedRow, ...] = ()


def origin_of(freeze: Freeze, plant: str, mapping: Path | None = None) -> Origin:
    """The origin of a paper over a freeze, with the first refused rows and the mapping's text.

    Args:
        freeze: The freeze.
        plant: How the plant is called in the title.
        mapping: The mapping that was used, where there was one.
    """
    text = mapping.read_text("utf-8-sig") if mapping is not None and mapping.is_file() else ""
    refused: tuple[RefusedRow, ...] = ()
    path = freeze.path / REFUSED
    if path.is_file():
        with path.open(encoding="utf-8", newline="") as file:
            refused = tuple(map(_refused, islice(csv.DictReader(file), SHOWN_REFUSED)))
    return Origin(plant, witnessmark.__version__, freeze.manifest, text, refused)


def _refused(row: dict[str, str]) -> RefusedRow:
    number = int(row["row"]) if row["row"] else None
    where = Where(row["file"], row["sheet"] or None, number, row["column"] or None)
    value = "" if holds_person(row["canonical_column"]) else row["value"]
    return RefusedRow(str(where), value, row["reason"])


def provenance_of(origin: Origin, holdings: dict[str, int]) -> Provenance:
    """Files, counts and the way to repeat the run."""
    manifest = origin.manifest
    tables = tuple(sorted(holdings.items()))
    if manifest is None:
        said = "The tables were given in memory; there is no file to go back to."
        return Provenance("in memory", said, (), (), 0, "", tables)
    hashes = {file.name: file.sha256 for file in manifest.files}
    return Provenance(
        freeze=manifest.identity,
        how_to_repeat=(
            "The same files, mapping and settings give the same freeze. Run witnessmark test on "
            "them again, or run open.sql in the folder of the freeze with a plain DuckDB shell: "
            "it holds the same tables, parameters and queries."
        ),
        files=tuple(_file(extract, hashes) for extract in manifest.extracts),
        refused=origin.refused[:SHOWN_REFUSED],
        refused_total=manifest.rows_refused,
        mapping=origin.mapping,
        tables=tables,
    )


def _file(extract: FrozenExtract, hashes: dict[str, str]) -> SourceFile:
    name = extract.file if extract.sheet is None else f'{extract.file}, sheet "{extract.sheet}"'
    return SourceFile(
        name=name,
        sha256=hashes.get(extract.file, ""),
        tables=", ".join(sorted(extract.entries)),
        rows_read=extract.rows_read,
        rows_loaded=extract.rows_loaded,
        rows_refused=extract.rows_refused,
        rows_duplicate=extract.rows_duplicate,
        control="; ".join(map(_control, extract.controls)) or "none given",
        notes=tuple(_notes(extract)),
    )


def _notes(extract: FrozenExtract) -> Iterator[str]:
    """Lines that were no data, rows that were mended, and what the reader of the file noted."""
    for why, lines in sorted(extract.skipped.items()):
        yield f"{plural(lines, 'line')} skipped: {why}"
    if extract.rows_mended:
        yield f"{plural(extract.rows_mended, 'row')} mended by hand"
    yield from extract.notes


def _control(total: ControlTotal) -> str:
    if total.agrees:
        return f"{total.what} {total.found}, as stated ({total.source})"
    return f"{total.what} {total.found}, but {total.stated} is stated ({total.source}): ask why"

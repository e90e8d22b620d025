"""The account of a freeze, for people: what was read, what became of it, what does not agree.

Plain text out of a manifest. This module computes nothing that the manifest does not say.
"""

from collections.abc import Iterator
from pathlib import Path

from witnessmark.records.manifest import ControlTotal, FrozenExtract, Manifest
from witnessmark.records.mend import FOLDER, OUT, REFUSED


def account_of(manifest: Manifest, path: Path) -> str:
    """The account of a freeze in a few lines per file.

    Args:
        manifest: What the freeze says of itself.
        path: Its folder, named where refused rows wait to be mended.
    """
    lines = [line for extract in manifest.extracts for line in _extract_lines(extract)]
    if manifest.rows_refused:
        lines += [
            f"{manifest.rows_refused:,} rows refused: {path / REFUSED} says why.",
            f"To mend them, correct a file of {path / OUT} and save it under its name",
            f'in the folder "{FOLDER}" beside the exports; the next freeze takes it.',
        ]
    return "\n".join(lines)


def _extract_lines(extract: FrozenExtract) -> Iterator[str]:
    yield (
        f"{extract.extract_id}: {extract.rows_read:,} rows read = {extract.rows_loaded:,} loaded "
        f"+ {extract.rows_refused:,} refused + {extract.rows_duplicate:,} repeated"
    )
    skipped = ", ".join(f"{count:,} {kind}" for kind, count in extract.skipped.items())
    if skipped and skipped != "1 header":
        yield f"    no data: {skipped}"
    if extract.rows_mended:
        yield f"    mended: {extract.rows_mended:,}"
    for name, entry in extract.entries.items():
        kept = entry.get("overlapping, kept", 0)
        if kept:
            yield f"    {name}: {kept:,} rows overlap others of their machine and are kept"
    for control in extract.controls:
        yield f"    {_control_line(control)}"


def _control_line(control: ControlTotal) -> str:
    tolerance = "" if control.tolerance == "0" else f", within {control.tolerance}"
    verdict = f"agrees{tolerance}" if control.agrees else f"DOES NOT AGREE{tolerance}"
    figures = f"{control.found} loaded, {control.stated} in the {control.source}"
    return f"{control.what}: {figures}: {verdict}"

"""`witnessmark seal`: an audit as one file that verifies without a server."""

from collections import Counter
from pathlib import Path

from witnessmark.audit.parts import SAYS, Width
from witnessmark.audit.seal import SUFFIX, Sealed
from witnessmark.audit.seal import seal as write_sealed
from witnessmark.cli.installation import audit_named, open_installation
from witnessmark.cli.progress import Steps


def run(audit: str, out: Path, *, width: Width, data: Path | None = None) -> None:
    """Write an audit as one sealed file; an existing file is never overwritten.

    Exit code 0 when it was written, 2 when it could not be.

    Args:
        audit: UUID of the audit, or its title.
        out: The new file; `.witness` is added where it has no ending.
        width: `outcomes` (journal and counts), `cited` (and the rows that trails and findings
            cite), or `everything` (and the frozen records, attachments and words; stays on site).
        data: The data folder of the installation.
    """
    target = out if out.suffix else out.with_suffix(SUFFIX)
    with Steps() as steps:
        steps.step("sealing")
        place = open_installation(data)
        sealed = write_sealed(place, audit_named(audit), target, width)
    print(said(sealed, width))


def said(sealed: Sealed, width: Width) -> str:
    """What was sealed and what was not, for whoever sealed it."""
    lines = [
        str(sealed.path),
        SAYS[width],
        f"{sealed.entries} journal entries, {sealed.texts} texts, {sealed.files} files.",
        f"Seal {sealed.digest}",
    ]
    for why, count in sorted(Counter(why for _, why in sealed.withheld.values()).items()):
        lines.append(f"Withheld: {count} event(s), because of this: {why}.")
    lines += sealed.missing
    return "\n".join(lines)

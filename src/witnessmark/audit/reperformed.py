"""What re-performing showed, as text for a reader; says as plainly what it could not do.

This module computes nothing.
"""

from collections.abc import Iterator

from witnessmark.audit.reperform import Reperformance

SHOWN = 8
DIGITS = 16
SIGNED = (
    "A signature proves which key vouched, never that a thing is true, nor whose key it is: hold "
    "the key above against the one that the audit team told you in another way."
)


def as_text(said: Reperformance) -> str:
    """The whole, one paragraph per question."""
    parts = [_file(said), _journal(said), _signatures(said), _texts(said), _numbers(said)]
    return "\n\n".join(part for part in parts if part)


def _file(said: Reperformance) -> str:
    header, opening = said.header, said.state.opening
    title = f"“{opening.title}”" if opening.title else header.audit
    return (
        f"The audit {title}, width {header.width}, sealed {header.sealed_at} by version "
        f"{header.tool_version}.\nThe seal holds: the file is, byte for byte, the one that the key "
        f"{said.key} sealed."
    )


def _journal(said: Reperformance) -> str:
    header = said.header
    lines = [f"The journal is whole: {header.entries} entries, none changed, left out or moved."]
    if header.withheld:
        lines.append(
            f"{header.withheld} of them withhold their event, for a protected source: that there "
            "was an event stands in the chain, what it said does not."
        )
    if said.state.unknown:
        kinds = ", ".join(sorted(said.state.unknown))
        lines.append(f"This version cannot read events of these kinds and left them out: {kinds}.")
    if said.state.orphans:
        lines.append(f"{len(said.state.orphans)} event(s) add to something that is not here.")
    return "\n".join(lines)


def _signatures(said: Reperformance) -> str:
    seen = said.header.entries - said.header.withheld
    said_of_them = (
        f"Signatures: {said.signed_by_device} event(s) were signed by {len(said.device_keys)} "
        f"device(s); for the rest of {seen} the installation alone vouches, from their receipt on."
    )
    lines = [said_of_them]
    others = [key for key in said.entry_keys if key != said.key]
    if others:
        short = ", ".join(f"{key[:DIGITS]}…" for key in others)
        lines.append(f"Entries were received under another key than the one that sealed: {short}.")
    return "\n".join([*lines, SIGNED])


def _texts(said: Reperformance) -> str:
    if not said.texts and not said.texts_missing:
        return ""
    missing = (
        f" {said.texts_missing} are not in the file: destroyed, or left out by its width."
        if said.texts_missing
        else ""
    )
    return f"Texts: {said.texts} are, word for word, the ones marked in the journal.{missing}"


def _numbers(said: Reperformance) -> str:
    if not said.checks:
        return "No trail or finding cites a number of the records."
    same, wrong = said.with_verdict("holds"), said.with_verdict("differs")
    left = said.with_verdict("not recomputed")
    counted = (
        f"Numbers: {len(said.checks)} cited or recorded; {len(same)} came out again, "
        f"{len(wrong)} differ, {len(left)} could not be recomputed."
    )
    lines = [counted]
    if wrong:
        lines += ["The first that differs:", f"  {wrong[0]}"]
        lines += _some("Then:", [str(check) for check in wrong[1:]])
    reasons: dict[str, list[str]] = {}
    for check in left:
        reasons.setdefault(check.why, []).append(f"{check.claim.where}: {check.claim.of}")
    for why, numbers in reasons.items():
        lines += _some(f"Not recomputed ({len(numbers)}), since {why}:", numbers)
    return "\n".join(lines)


def _some(head: str, lines: list[str]) -> Iterator[str]:
    if not lines:
        return
    yield head
    yield from (f"  {line}" for line in lines[:SHOWN])
    if len(lines) > SHOWN:
        yield f"  ... and {len(lines) - SHOWN} more."

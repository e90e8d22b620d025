"""Machines as they were seen, held against attendance spans and running states.

This module appends nothing.
"""

from collections.abc import Iterator, Mapping

from witnessmark.audit.look import UNCLEAR, Look, Verdict
from witnessmark.audit.records_then import Span

AGREEING: Mapping[str, frozenset[str]] = {
    "attended": frozenset({"attended"}),
    "watched": frozenset({"covered", "authorised"}),
    "nobody": frozenset({"authorised", "uncovered"}),
}
"""Attendance classes that fit what was seen: a watcher keeps an eye on it, or nobody is there."""
AT_MACHINE = {"attended": "somebody at it", "watched": "somebody watching it", "nobody": "nobody"}


def see_staffing(look: Look) -> Iterator[Verdict]:
    """Who was at each machine of the board."""
    for machine, word in look.grid.items():
        yield _presence(look, machine, word, f"grid/{machine}")


def see_round(look: Look) -> Iterator[Verdict]:
    """What each machine did on a round."""
    for machine, word in look.grid.items():
        yield _state(look, machine, word, f"grid/{machine}")


def see_machine_state(look: Look) -> Iterator[Verdict]:
    """What one machine did, who attended it, which part ran."""
    machine = look.observation.machine
    yield _state(look, machine, look.text("state"), "state")
    if look.text("presence"):
        yield _presence(look, machine, look.text("presence"), "presence")
    if part := look.text("part_no"):
        seen = f"{machine}: part {part}."
        known = look.machine(machine, "runs")
        delta = look.records.tolerance("runs")
        spans = [] if isinstance(known, str) else look.records.parts(known, *look.around(delta))
        yield _decided(look, "part_no", seen, known, spans, frozenset({part}), frozenset())


def _presence(look: Look, machine: str, word: str, field: str) -> Verdict:
    if word not in AGREEING:
        return Verdict(field, "not-assessable", f"{machine}: {word}.", UNCLEAR)
    known = look.machine(machine, "allocations")
    delta = look.records.tolerance("allocations")
    spans = [] if isinstance(known, str) else look.records.attendance(known, *look.around(delta))
    silent = frozenset({"not-assessable"})
    seen = f"{machine}: {AT_MACHINE[word]}."
    return _decided(look, field, seen, known, spans, AGREEING[word], silent)


def _state(look: Look, machine: str, word: str, field: str) -> Verdict:
    seen = f"{machine}: {word}."
    if word not in {"running", "stopped", "set-up"}:
        return Verdict(field, "not-assessable", seen, UNCLEAR)
    tables = ("runs", "machine_states", "piece_counts")
    known = look.machine(machine, *tables)
    around = look.around(look.records.tolerance(*tables))
    if not isinstance(known, str) and word == "set-up":
        setups = look.records.setups(machine, *look.around(look.records.tolerance("setups")))
        if setups:
            told = f"set-up {setups[0].word} from {look.records.local(setups[0].from_at)}"
            return Verdict(field, "agrees", seen, told, (setups[0].word,))
    spans = [] if isinstance(known, str) else look.records.states(known, *around)
    fits = frozenset({"running"} if word == "running" else {"stopped"})
    # Set-up pieces run as well: without set-up records a running machine contradicts nothing.
    silent = {"unknown"} | (
        {"running"} if word == "set-up" and not look.records.has("setups") else set()
    )
    return _decided(look, field, seen, known, spans, fits, frozenset(silent))


def _decided(
    look: Look,
    field: str,
    seen: str,
    known: int | str,
    spans: list[Span],
    fits: frozenset[str],
    silent: frozenset[str],
) -> Verdict:
    """Agrees where any stretch within the tolerance fits; is open where any is not known."""
    if isinstance(known, str):
        return Verdict(field, "not-assessable", seen, known)
    if not spans:
        return Verdict(field, "not-assessable", seen, "Nothing is recorded for this moment.")
    machine = field.partition("/")[2] or look.observation.machine
    rows = tuple(f"{machine}/{span.from_at:%Y-%m-%dT%H:%M:%SZ}" for span in spans)
    told = "; ".join(_said(look, span) for span in spans)
    if any(span.word in fits for span in spans):
        return Verdict(field, "agrees", seen, told, rows)
    if any(span.word in silent for span in spans):
        return Verdict(field, "not-assessable", seen, f"Not known: {told}", rows)
    return Verdict(field, "contradicts", seen, told, rows)


def _said(look: Look, span: Span) -> str:
    why = f" ({span.why})" if span.why else ""
    low, high = look.records.local(span.from_at), look.records.local(span.to_at)
    return f"{span.word}{why} from {low} to {high}"

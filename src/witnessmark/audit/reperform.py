"""Re-performs a sealed audit: is it whole, and do its numbers come out again?

Every number that a trail or a finding cites is recomputed as far as the width of the file allows;
what cannot be is said, with why. This module changes nothing and needs no server.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

from witnessmark.audit.actions.record_outcomes import RecordOutcomes
from witnessmark.audit.catalogue import read_action
from witnessmark.audit.cited import TestResult
from witnessmark.audit.claims import Claim, claims_of
from witnessmark.audit.event import BrokenEventError
from witnessmark.audit.parts import Header
from witnessmark.audit.recorded import count_rows, result_of, stratum_of, test_text
from witnessmark.audit.rerun import Rerun, run_again
from witnessmark.audit.sealed_audit import SealedAudit, read_sealed
from witnessmark.audit.state import AuditState
from witnessmark.record_tests.engine import Progress
from witnessmark.record_tests.outcome import Outcome

Verdict = Literal["holds", "differs", "not recomputed"]
NARROW = {
    "outcomes": "a file of the width outcomes carries neither rows nor records",
    "cited": "a file of the width cited carries the rows that are cited, no records",
}
ROWS_ONLY = "rows are exceptions only; how many were looked at is not in them"
BY_HAND = "it cites no outcome of the records"
PARTLY = "the time that set the action off may have been left out"


@dataclass(frozen=True)
class Check:
    """One number, held against what came out.

    Args:
        claim: Who says it, and of what.
        verdict: Whether it came out again.
        found: What came out; None where nothing did.
        why: Why it was not recomputed, or what is to be known of it.
    """

    claim: Claim
    verdict: Verdict
    found: int | str | None = None
    why: str = ""

    def __str__(self) -> str:
        said = f"{self.claim.where}: {self.claim.of}: said {self.claim.said}"
        found = f", found {self.found}" if self.found is not None else ""
        return f"{said}{found}" + (f" ({self.why})" if self.why else "")


@dataclass(frozen=True)
class Reperformance:
    """What re-performing a sealed audit showed.

    Args:
        header: What the file says of itself.
        key: Public key of the installation that sealed.
        entry_keys: Public keys of the installations that received entries.
        device_keys: Public keys of devices that signed their own events.
        signed_by_device: Number of events that a device signed.
        texts: Texts that are the ones their marks stand for.
        texts_missing: Marks whose text is not in the file.
        state: The audit, as far as the file tells it.
        checks: Every number.
    """

    header: Header
    key: str
    entry_keys: tuple[str, ...]
    device_keys: tuple[str, ...]
    signed_by_device: int
    texts: int
    texts_missing: int
    state: AuditState = field(repr=False)
    checks: tuple[Check, ...] = ()

    @property
    def first_difference(self) -> Check | None:
        """The first number that did not come out again."""
        return next((check for check in self.checks if check.verdict == "differs"), None)

    @property
    def holds(self) -> bool:
        """Whether no number differs; some may not have been recomputed."""
        return self.first_difference is None

    def with_verdict(self, verdict: Verdict) -> list[Check]:
        """The numbers with this verdict."""
        return [check for check in self.checks if check.verdict == verdict]


def reperform(path: Path, progress: Progress | None = None) -> Reperformance:
    """Checks a sealed audit and recomputes its numbers.

    Args:
        path: The file.
        progress: Told what is being done.

    Raises:
        UnusableInputError: It cannot be read, is no sealed audit, or is of a newer version.
        BrokenSealError: A part is not as it was sealed; names the first.
        BrokenChainError: An entry is not as it was written; names the first.
    """
    tell = progress or (lambda _: None)
    with TemporaryDirectory(prefix="witnessmark-") as name:
        tell("seal, chain and signatures")
        audit = read_sealed(path, Path(name))
        state = audit.state
        claims = claims_of(state)
        reruns = _run_all(audit, claims, Path(name), progress)
        held = _Numbers(audit, reruns)
        checks = tuple(held.check(claim) for claim in claims)
    entries = [item.entry for item in audit.received]
    signed = [entry for entry in entries if entry.event_key]
    return Reperformance(
        header=audit.header,
        key=audit.key,
        entry_keys=tuple(dict.fromkeys(entry.key for entry in entries)),
        device_keys=tuple(dict.fromkeys(entry.event_key for entry in signed)),
        signed_by_device=len(signed),
        texts=len(audit.texts),
        texts_missing=len(audit.marks - set(audit.texts)),
        state=state,
        checks=checks,
    )


def _run_all(
    audit: SealedAudit, claims: Sequence[Claim], folder: Path, progress: Progress | None
) -> dict[str, Rerun]:
    """The tests behind all numbers, on every freeze that the file carries."""
    if audit.header.width != "everything":
        return {}
    found = {}
    for freeze in dict.fromkeys(claim.freeze for claim in claims if claim.freeze):
        own = [claim for claim in claims if claim.freeze == freeze]
        parts = {slug: part for (of, slug), part in audit.outcomes.items() if of == freeze}
        rows = {claim.slug for claim in own if claim.what == "row"}
        carried = any(name.startswith(f"records/{freeze}/") for name in audit.files)
        place = folder / "records" / freeze if carried else folder / "none"
        slugs = {claim.slug for claim in own}
        found[freeze] = run_again(freeze, place, parts, slugs, rows, progress)
    return found


class _Numbers:
    """Where numbers are looked up: a new run, cited rows, the journal's own records."""

    def __init__(self, audit: SealedAudit, reruns: Mapping[str, Rerun]) -> None:
        self.audit, self.reruns = audit, reruns
        self.recorded = _recorded(audit)

    def check(self, claim: Claim) -> Check:
        """Holds one number against the widest evidence there is."""
        if not claim.slug:
            return Check(claim, "not recomputed", why=BY_HAND)
        rerun = self.reruns.get(claim.freeze)
        if rerun is not None:
            return self._by_rerun(claim, rerun)
        found = self._by_rows(claim)
        if found is not None:
            return found
        why = NARROW.get(self.audit.header.width, "the records are not in this file")
        return self._by_journal(claim, why)

    def _by_rerun(self, claim: Claim, rerun: Rerun) -> Check:
        if rerun.damage:
            return Check(claim, "differs", why=f"the records {claim.freeze}: {rerun.damage}")
        outcome = rerun.outcomes.get(claim.slug)
        if outcome is None:
            why = rerun.not_run.get(claim.slug) or rerun.not_run.get("", "it was not run")
            return self._by_journal(claim, why)
        found = _number(outcome, claim)
        if found == claim.said:
            return Check(claim, "holds", found)
        if claim.partly and isinstance(found, int) and float(claim.said) < found:
            return Check(claim, "not recomputed", why=f"{PARTLY}; the whole period gives {found}")
        if why := self._other_test(claim, outcome):
            return self._by_journal(claim, f"{why}; this version finds {found}")
        return Check(claim, "differs", found, "" if found is not None else "nothing came out")

    def _other_test(self, claim: Claim, outcome: Outcome) -> str:
        """Why a number may be another without anything being wrong; empty where it may not."""
        if claim.digest and claim.digest == outcome.digest:
            return ""
        part = self.audit.outcomes.get((claim.freeze, claim.slug))
        if part is not None and part.test_text != test_text(claim.slug):
            return "the text of this record test is not the one of the audit's version"
        if claim.digest and part is not None and claim.digest != part.digest:
            return "it was read from an earlier outcome, run under other criteria or texts"
        return ""

    def _by_rows(self, claim: Claim) -> Check | None:
        part = self.audit.rows.get((claim.freeze, claim.slug))
        if part is None or claim.recorded:
            return None
        if claim.what == "row":
            refs = {str(row.get("ref")) for row in part.rows}
            if claim.said in refs:
                return Check(claim, "holds", claim.said)
            return self._by_journal(claim, "the row is not among those kept with the records")
        if claim.what != "exceptions":
            return self._by_journal(claim, ROWS_ONLY)
        found = count_rows(part, claim.stratum)
        if found is None:
            why = f"{len(part.rows)} of {part.total} exceptions are in this file"
            return self._by_journal(claim, why)
        kept = self.audit.outcomes.get((claim.freeze, claim.slug))
        if found != claim.said and claim.digest and kept and kept.digest != claim.digest:
            return self._by_journal(claim, "it was read from an earlier outcome")
        return Check(claim, "holds" if found == claim.said else "differs", found)

    def _by_journal(self, claim: Claim, why: str) -> Check:
        """What is left: whether a number is the one that the journal recorded of that outcome."""
        if claim.recorded or claim.what == "row":
            return Check(claim, "not recomputed", why=why)
        found = self._kept(claim)
        if found is None:
            return Check(claim, "not recomputed", why=why)
        if found == claim.said:
            return Check(claim, "not recomputed", why=f"{why}; it is the number recorded then")
        return Check(claim, "differs", found, "the number recorded in this file for that outcome")

    def _kept(self, claim: Claim) -> int | str | None:
        if claim.stratum:
            part = self.audit.outcomes.get((claim.freeze, claim.slug))
            if part is None or (claim.digest and part.digest != claim.digest):
                return None
            counts = part.strata.get(claim.stratum)
            return getattr(counts, claim.what, None) if counts else None
        results = self.recorded.get((claim.freeze, claim.slug), [])
        same = [one for one in results if claim.digest in {"", one.digest}]
        return _of_result(same[-1], claim.what) if same else None


def _recorded(audit: SealedAudit) -> dict[tuple[str, str], list[TestResult]]:
    """Every outcome that the journal ever recorded, oldest first."""
    found: dict[tuple[str, str], list[TestResult]] = {}
    for item in audit.received:
        if item.event is None or item.event.kind != RecordOutcomes.kind:
            continue
        try:
            action = read_action(item.event.kind, item.event.body)
        except BrokenEventError:
            continue  # named among what this version cannot read
        if isinstance(action, RecordOutcomes):
            for result in action.results:
                found.setdefault((action.freeze, result.slug), []).append(result)
    return found


def _number(outcome: Outcome, claim: Claim) -> int | str | None:
    if claim.what == "row":
        return str(claim.said) if any(str(r["ref"]) == claim.said for r in outcome.rows) else None
    if claim.stratum:
        counts = stratum_of(outcome, claim.stratum)
        return getattr(counts, claim.what, None) if counts is not None else None
    return _of_result(result_of(outcome), claim.what)


def _of_result(result: TestResult, what: str) -> int | str | None:
    value = getattr(result, what.replace(" ", "_"), None)
    return value if isinstance(value, int | str) else None

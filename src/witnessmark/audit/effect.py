"""Whether an action shows in the records: the same test on a new period, with its exposure.

Exceptions per unit that could have been one, or per running hour, before and after; the verdict is
that of `stats`, the sentence too. Units of one shift are no independent draws: where clustering
takes the proof away, it is not yet demonstrable. Nothing is appended; the action is handed back.
"""

from dataclasses import dataclass

from witnessmark.audit.actions.verify_finding import VerifyFinding
from witnessmark.audit.items import Finding
from witnessmark.audit.people import RefusedError
from witnessmark.record_tests.outcome import Outcome
from witnessmark.stats.before_after import BeforeAfter, before_after
from witnessmark.stats.sister_machine import SisterComparison, against_sister

UNITS, HOURS = "units assessed by the test", "running hours"
MUCH_MORE_UNKNOWN = 0.10
"""Rise of the share that could not be assessed from which it is said; common practice."""


@dataclass(frozen=True)
class Side:
    """One period: its outcome, where it lies, and its exposure.

    Args:
        freeze: Identity of the records.
        outcome: Of the one test.
        running_h: Running hours of the same machines; None to count assessed units instead.
        trigger: Exceptions and exposure of the time that set the action off, to be left out of
            the period before.
    """

    freeze: str
    outcome: Outcome
    running_h: float | None = None
    trigger: tuple[int, float] = (0, 0.0)


@dataclass(frozen=True)
class Verified:
    """What the new period shows, ready to be appended.

    Args:
        action: To be done at the desk.
        result: The comparison behind it.
        sister: The comparison with machines left alone, where they were given.
        notes: What limits it, each a sentence.
    """

    action: VerifyFinding
    result: BeforeAfter
    sister: SisterComparison | None
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Recurrence:
    """Whether the same is found again after closing.

    Args:
        is_recurrence: Whether it is; the auditor decides what follows.
        sentence: Why, or why not.
    """

    is_recurrence: bool
    sentence: str


def verify(
    finding: Finding,
    before: Side,
    after: Side,
    sister: tuple[Side, Side] | None = None,
    confidence: float = 0.95,
) -> Verified:
    """Holds the period after an action against the one before.

    Args:
        finding: What was found.
        before: The period of the finding.
        after: The new period.
        sister: Before and after of machines that the action left alone.
        confidence: One-sided confidence of a verdict.

    Raises:
        RefusedError: Two tests, two judgements, or an outcome that counts nothing.
    """
    sides = [before, after, *(sister or ())]
    _check_same(sides)
    unit = HOURS if all(side.running_h is not None for side in sides) else UNITS
    x_before, t_before = _counts(before, unit)
    x_after, t_after = _counts(after, unit)
    if t_before <= 0:
        raise RefusedError("Before the action there is no exposure: nothing can be compared.")
    result = before_after(x_before, t_before, x_after, t_after, confidence)
    notes = list(_notes(finding, before, after))
    verdict: str = result.verdict
    if result.verdict == "shown" and (clustered := _clustered(before, after, result)):
        verdict = "not yet demonstrable"
        notes.insert(0, clustered)
    other = _against(before, after, sister, unit, confidence)
    if other is not None and verdict == "shown" and other.verdict != "shown":
        verdict = other.verdict
    text = " ".join(
        [f"{_capital(unit)}. {result.sentence}", *([other.sentence] if other else []), *notes]
    )
    action = VerifyFinding(
        finding=finding.id,
        slug=after.outcome.slug,
        before_freeze=before.freeze,
        after_freeze=after.freeze,
        exposure=unit,
        before_x=x_before,
        before_exposure=float(t_before),
        after_x=x_after,
        after_exposure=float(t_after),
        verdict=verdict,
        text=text,
    )
    return Verified(action, result, other, tuple(notes))


def recurrence(finding: Finding, outcome: Outcome, running_h: float | None = None) -> Recurrence:
    """Whether a closed finding is found again by its own test.

    Where the period that closed it was without an exception, a single one is the same again; where
    some were left and accepted, only a rate that is shown to be higher is.

    Args:
        finding: A closed one.
        outcome: Of its test on a later period.
        running_h: Running hours of that period, where the effect was verified by them.
    """
    if finding.state != "closed":
        return Recurrence(False, "The finding is not closed.")
    if outcome.slug not in slugs_of(finding):
        return Recurrence(False, f"{outcome.slug} is not the test of this finding.")
    if outcome.status != "assessed" or not outcome.counts.assessed:
        return Recurrence(False, "Nothing could be assessed: this says neither yes nor no.")
    x, n = outcome.counts.exceptions, outcome.counts.assessed
    if x == 0:
        return Recurrence(False, f"None in {n} assessed units.")
    own = [item for item in finding.verifications if item.slug == outcome.slug]
    last = own[-1] if own else None
    if last is None or last.after_x == 0:
        return Recurrence(True, f"{x} of {n} assessed units, after a period without any.")
    exposure = float(n) if last.exposure == UNITS else running_h
    if exposure is None:
        said = f"{x} of {n} assessed units; the effect was verified by {last.exposure}: give them."
        return Recurrence(False, said)
    found = before_after(last.after_x, last.after_exposure, x, exposure)
    return Recurrence(found.verdict == "worse", found.sentence)


def is_recurrence(finding: Finding, outcome: Outcome, running_h: float | None = None) -> bool:
    """Whether a closed finding is found again; `recurrence` says why."""
    return recurrence(finding, outcome, running_h).is_recurrence


def is_watched(finding: Finding, day: str) -> bool:
    """Whether a day (2026-03-24) lies in the time in which recurrence is watched."""
    return finding.state == "closed" and finding.closed_at[:10] <= day <= finding.watch_until[:10]


def slugs_of(finding: Finding) -> tuple[str, ...]:
    """The record tests behind a finding: of its facts, then of its verifications."""
    cited = [fact.cited.slug for fact in finding.facts if fact.cited and fact.cited.slug]
    return tuple(dict.fromkeys([*cited, *(item.slug for item in finding.verifications)]))


def _check_same(sides: list[Side]) -> None:
    slugs = {side.outcome.slug for side in sides}
    if len(slugs) > 1:
        raise RefusedError(f"Not the same test: {', '.join(sorted(slugs))}.")
    for side in sides:
        if side.outcome.status not in {"assessed", "nothing-to-test"}:
            raise RefusedError(
                f"On the records {side.freeze} the test is {side.outcome.status}: "
                "it counts nothing there."
            )
    used = [{(c.name, c.value, c.unit) for c in side.outcome.criteria} for side in sides]
    differing = sorted({name for one in used for name, *_ in one ^ used[0]})
    if differing:
        raise RefusedError(
            f"Judged by other limits before and after: {', '.join(differing)}. "
            "Run both under the same ones."
        )


def _counts(side: Side, unit: str) -> tuple[int, float]:
    counts = side.outcome.counts
    exposure = side.running_h if unit == HOURS else float(counts.assessed)
    return counts.exceptions - side.trigger[0], (exposure or 0.0) - side.trigger[1]


def _clustered(before: Side, after: Side, result: BeforeAfter) -> str:
    """What clustering takes away from a proof; empty where it stands."""
    effect = max(before.outcome.design_effect, after.outcome.design_effect)
    if effect <= 1:
        return ""
    thinned = before_after(
        round(result.x_before / effect),
        result.t_before / effect,
        round(result.x_after / effect),
        result.t_after / effect,
        result.confidence,
    )
    if thinned.verdict == "shown":
        return ""
    return (
        f"Exceptions come in clusters by shift (design effect {effect:.1f}); counted as so many "
        "fewer, the fall is not yet demonstrable."
    )


def _notes(finding: Finding, before: Side, after: Side) -> list[str]:
    notes = []
    if before.trigger == (0, 0.0):
        notes.append(
            "Nothing was left out of the period before: the time that set the action off is best "
            "not in it, for the worst week is followed by a better one in any case."
        )
    if not any(item.implemented_on for item in finding.responses):
        notes.append("When the action took effect is not stated: the new period must lie after it.")
    shares = [_unknown(side.outcome) for side in (before, after)]
    if shares[1] - shares[0] > MUCH_MORE_UNKNOWN:
        notes.append(
            f"{100 * shares[1]:.0f} % could not be assessed after, {100 * shares[0]:.0f} % before: "
            "fewer exceptions may be fewer records."
        )
    if after.outcome.counts.assessed == 0:
        notes.append("Nothing ran that could have been an exception: its absence shows nothing.")
    return notes


def _unknown(outcome: Outcome) -> float:
    counts = outcome.counts
    return sum(counts.not_assessable.values()) / counts.population if counts.population else 0.0


def _against(
    before: Side, after: Side, sister: tuple[Side, Side] | None, unit: str, confidence: float
) -> SisterComparison | None:
    if sister is None:
        return None
    own = [_counts(side, unit) for side in (before, after, *sister)]
    if any(exposure <= 0 for _, exposure in own):
        raise RefusedError("A comparison with other machines needs exposure in all four periods.")
    return against_sister(own[0], own[1], own[2], own[3], confidence)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

"""A grade proposed from stated inputs, each reason with the input behind it. Never a decision.

No probability is an input, so none can grade; the rate is shown with its interval. What would
change the proposal is found by asking again with one answer changed, not by a second set of rules.
The auditor decides and writes why. This module changes nothing.

Source: definitions of major and minor after the IATF Rules, which bind certification audits and
are copied by many firms (secondary); ISO 9001 and IATF 16949 set no grades for internal audits, so
the firm's own rule comes first (secondary). The constants are common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from witnessmark.audit.cited import Grade, Requirement
from witnessmark.audit.items import Finding
from witnessmark.audit.phrases import fold
from witnessmark.audit.state import AuditState
from witnessmark.audit.wording import clause_of
from witnessmark.stats.proportion import exact_interval

Rule = Literal["unknown", "missing", "not followed", "ineffective"]
Answer = Literal["unknown", "yes", "no"]
Left = Literal["unknown", "no", "possible", "probable", "yes"]
SEVERAL = 3
"""Minors on one requirement that may show a breakdown; common practice, no source."""
SEEN_BROKEN = 0.10
"""A control counts as broken down by its spread only where the rate is at least this, by the lower
limit of its interval; common practice, no source. A single lapse on each machine is none."""
MOST = 0.5


@dataclass(frozen=True)
class Inputs:
    """What a proposal is made from; `unknown` and None are what nobody has said yet.

    Args:
        requirement_broken: Whether a stated requirement was not met.
        risk_visible: Whether a risk shows although the requirement is met.
        rule: What is wrong with the rule.
        x: Units that failed.
        n: Units looked at.
        targeted: Whether the units were chosen because they looked suspect; then x of n is no rate.
        lower: Lower limit of the rate where clustering was allowed for; else it is computed.
        upper: Upper limit, likewise.
        machines: Machines affected, of those that ran.
        shifts: Shifts affected, of those that ran.
        special: Whether a special characteristic or safety is touched.
        plant_acted: Whether the plant found it itself and acted before the audit did.
        product_left: Whether nonconforming or suspect product left, or probably did; what has an
            unknown status counts as nonconforming (A 8.7.1.3, memory).
        repeated: Whether an earlier finding of this was not effectively corrected.
        customer_trigger: Whether a customer's own rule makes it a major.
        minors: Minors on this requirement in this audit, this one included.
    """

    requirement_broken: Answer = "unknown"
    risk_visible: bool = False
    rule: Rule = "unknown"
    x: int | None = None
    n: int | None = None
    targeted: bool = False
    lower: float | None = None
    upper: float | None = None
    machines: tuple[int, int] | None = None
    shifts: tuple[int, int] | None = None
    special: Answer = "unknown"
    plant_acted: Answer = "unknown"
    product_left: Left = "unknown"
    repeated: Answer = "unknown"
    customer_trigger: Answer = "unknown"
    minors: int = 1


QUESTIONS: Mapping[str, str] = {
    "requirement_broken": "Was a stated requirement not met?",
    "risk_visible": "Does a risk show although the requirement is met?",
    "rule": "Is the rule missing, not followed, or ineffective?",
    "x": "In how many units?",
    "n": "Of how many looked at?",
    "targeted": "Were the units chosen because they looked suspect?",
    "lower": "Lower limit of the rate?",
    "upper": "Upper limit of the rate?",
    "machines": "On how many machines, of how many that ran?",
    "shifts": "On how many shifts, of how many that ran?",
    "special": "Is a special characteristic or safety touched?",
    "plant_acted": "Did the plant find it itself and act?",
    "product_left": "Did nonconforming or suspect product leave, or probably?",
    "repeated": "Was it found before and not effectively corrected?",
    "customer_trigger": "Does a customer's rule make it a major?",
    "minors": "How many minors on this requirement in this audit?",
}


RULES = "definition of a major, IATF Rules (secondary)"
PRACTICE = "common practice, no source"
SOURCES: Mapping[str, str] = {
    "product_left": f"{RULES}; suspect counts as nonconforming: A 8.7.1.3 (memory)",
    "rule": RULES,
    "machines": f"{RULES}; the numbers are common practice, no source",
    "minors": f"{RULES}; how many are several is common practice, no source",
    "requirement_broken": "definition of a minor, IATF Rules (secondary)",
    "risk_visible": "ISO 9001 and IATF 16949 set no grades for internal audits (secondary)",
    "customer_trigger": "the customer's own requirement, to be named",
}


@dataclass(frozen=True)
class Reason:
    """Why the proposal is what it is.

    Args:
        text: In a sentence.
        question: The input behind it, a key of `QUESTIONS`.
        points: Towards a higher grade, a lower one, or neither (shown only).
    """

    text: str
    question: str
    points: Literal["higher", "lower", "neither"]

    @property
    def source(self) -> str:
        """Where the rule behind it comes from."""
        return SOURCES.get(self.question, PRACTICE)


@dataclass(frozen=True)
class Change:
    """An answer that would change the proposal."""

    question: str
    answer: str
    grade: Grade


@dataclass(frozen=True)
class Proposal:
    """A grade proposed, never decided.

    Args:
        grade: What these inputs propose.
        reasons: Each with the input behind it.
        would_change: Single answers that would give another grade.
        unanswered: Questions without an answer, keys of `QUESTIONS`.
        rate: The rate with its limits, in words; why there is none.
    """

    grade: Grade
    reasons: tuple[Reason, ...]
    would_change: tuple[Change, ...]
    unanswered: tuple[str, ...]
    rate: str


def propose(inputs: Inputs) -> Proposal:
    """The grade that these inputs propose, with reasons and what would change it."""
    grade, reasons = _judge(inputs)
    unanswered = tuple(
        name
        for name in QUESTIONS
        if name not in {"lower", "upper"} and getattr(inputs, name) in ("unknown", None)
    )
    return Proposal(grade, reasons, _changes(inputs, grade), unanswered, rate_of(inputs)[0])


def inputs_of(state: AuditState, finding: Finding) -> Inputs:
    """What the audit knows already; the rest is asked."""
    counted = next((fact for fact in finding.facts if fact.x is not None and fact.n), None)
    named = bool(finding.requirement.document or finding.requirement.clause)
    minors = [
        other
        for other in state.findings.values()
        if other.id != finding.id
        and other.state != "withdrawn"
        and other.grading is not None
        and other.grading.grade == "minor"
        and same_requirement(other.requirement, finding.requirement)
    ]
    return Inputs(
        requirement_broken="yes" if named and finding.facts else "unknown",
        x=counted.x if counted else None,
        n=counted.n if counted else None,
        targeted=counted is not None and "target" in counted.selection.casefold(),
        product_left="possible" if finding.suspect_product else "unknown",
        repeated="yes" if finding.recurrences else "unknown",
        minors=len(minors) + 1,
    )


def same_requirement(one: Requirement, other: Requirement) -> bool:
    """Whether two requirements are one: the same document, or the same clause without one."""

    def key(stated: Requirement) -> tuple[str, str]:
        if stated.document:
            return ("document", fold(stated.document))
        return ("clause", fold(clause_of(stated.standard, stated.clause)))

    return key(one) == key(other) and any(key(one)[1:])


def as_answers(inputs: Inputs) -> dict[str, str]:
    """Question to answer in words, as a decision keeps them."""
    return {text: _said(getattr(inputs, name)) for name, text in QUESTIONS.items()}


def rate_of(inputs: Inputs) -> tuple[str, float | None]:
    """The rate with its 95 % limits in words, and its lower limit where there is one."""
    if inputs.x is None or not inputs.n:
        return "Not counted.", None
    said = f"{inputs.x} of {inputs.n}"
    if inputs.targeted:
        return f"{said}, chosen because they looked suspect: no rate.", None
    if inputs.lower is None or inputs.upper is None:
        interval = exact_interval(inputs.x, inputs.n)
        lower, upper = interval.lower, interval.upper
    else:
        lower, upper = inputs.lower, inputs.upper
    share = 100 * inputs.x / inputs.n
    return f"{said} ({share:.1f} %; {100 * lower:.1f} to {100 * upper:.1f} %)", lower


def _judge(inputs: Inputs) -> tuple[Grade, tuple[Reason, ...]]:
    if inputs.requirement_broken != "yes":
        return _no_nonconformity(inputs)
    triggers = [*_triggers(inputs), *_spread_trigger(inputs)]
    lowers = _lowers(inputs)
    only_spread = {reason.question for reason in triggers} <= {"machines"}
    shown = (Reason(f"Extent: {rate_of(inputs)[0]}", "x", "neither"),)
    if triggers and not (only_spread and lowers):
        return "major", (*triggers, *lowers, *shown)
    minor = Reason(
        "A requirement was not met; nothing said so far makes it more.",
        "requirement_broken",
        "higher",
    )
    return "minor", (minor, *triggers, *lowers, *shown)


def _no_nonconformity(inputs: Inputs) -> tuple[Grade, tuple[Reason, ...]]:
    if inputs.requirement_broken == "unknown":
        said = "Name the requirement first: without one that was not met there is no finding."
        return "none", (Reason(said, "requirement_broken", "neither"),)
    met = Reason("The requirement was met.", "requirement_broken", "lower")
    if inputs.risk_visible:
        seen = Reason("A risk shows; no answer is owed.", "risk_visible", "higher")
        return "opportunity", (met, seen)
    return "none", (met,)


def _triggers(inputs: Inputs) -> list[Reason]:
    """What alone makes a major."""
    reasons = []
    if inputs.product_left in {"probable", "yes"}:
        said = "left" if inputs.product_left == "yes" else "probably left"
        reasons.append(
            Reason(f"Nonconforming or suspect product {said}.", "product_left", "higher")
        )
    if inputs.rule == "missing" and not _is_part(inputs):
        reasons.append(Reason("There is no rule at all.", "rule", "higher"))
    if inputs.special == "yes":
        said = "A special characteristic or safety is touched."
        reasons.append(Reason(said, "special", "higher"))
    if inputs.repeated == "yes":
        said = "An earlier finding was not effectively corrected."
        reasons.append(Reason(said, "repeated", "higher"))
    if inputs.customer_trigger == "yes":
        said = "A customer's own rule makes it a major."
        reasons.append(Reason(said, "customer_trigger", "higher"))
    if inputs.minors >= SEVERAL:
        said = f"{inputs.minors} minors on one requirement may show that it broke down."
        reasons.append(Reason(said, "minors", "higher"))
    return reasons


def _is_part(inputs: Inputs) -> bool:
    """Whether the spread says that only a part of the process is affected."""
    return any(pair is not None and pair[0] < pair[1] for pair in (inputs.machines, inputs.shifts))


def _spread_trigger(inputs: Inputs) -> list[Reason]:
    """A control that broke down as a whole: every shift, most machines, no small rate."""
    if inputs.machines is None or inputs.shifts is None:
        return []
    (machines, of_machines), (shifts, of_shifts) = inputs.machines, inputs.shifts
    everywhere = 0 < of_shifts <= shifts and machines > MOST * of_machines
    rate, lower = rate_of(inputs)
    if not everywhere or (lower is not None and lower < SEEN_BROKEN):
        return []
    said = (
        f"{shifts} of {of_shifts} shifts and {machines} of {of_machines} machines, "
        f"{rate.rstrip('.')}: the control does not work as a whole."
    )
    return [Reason(said, "machines", "higher")]


def _lowers(inputs: Inputs) -> list[Reason]:
    if inputs.plant_acted != "yes":
        return []
    return [Reason("The plant found it itself and acted.", "plant_acted", "lower")]


ALTERNATIVES: Mapping[str, tuple[object, ...]] = {
    "requirement_broken": ("no", "yes"),
    "rule": ("missing", "not followed"),
    "special": ("yes", "no"),
    "plant_acted": ("yes", "no"),
    "product_left": ("probable", "no"),
    "repeated": ("yes", "no"),
    "customer_trigger": ("yes", "no"),
    "minors": (SEVERAL, 1),
}


def _changes(inputs: Inputs, grade: Grade) -> tuple[Change, ...]:
    """Each question whose other answer, everything else equal, gives another grade."""
    changes = []
    for name, answers in ALTERNATIVES.items():
        for answer in answers:
            other, _ = _judge(replace(inputs, **{name: answer}))  # type: ignore[arg-type]  # each fits its question
            if other != grade and answer != getattr(inputs, name):
                changes.append(Change(name, _said(answer), other))
    if inputs.machines and inputs.shifts:
        all_machines, all_shifts = (inputs.machines[1],) * 2, (inputs.shifts[1],) * 2
        other, _ = _judge(replace(inputs, machines=all_machines, shifts=all_shifts))
        if other != grade:
            changes.append(Change("machines", "all machines and shifts", other))
    return tuple(changes)


def _said(value: object) -> str:
    match value:
        case None:
            return "unknown"
        case bool():
            return "yes" if value else "no"
        case tuple():
            return " of ".join(str(part) for part in value)
        case float():
            return f"{value:.4g}"
        case _:
            return str(value)

"""The six questions: which tests decide each, and what answer their outcomes suggest.

The rule is stated in the paper word for word. It proposes; the auditor decides. No weights, no sum.
"""

from collections.abc import Iterable, Sequence

from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.report.gather.results import result_of
from witnessmark.report.model import Answer, Question, QuestionTest
from witnessmark.report.words import count, listed, plural, share, x_of_n

LEAST_ASSESSED = 20
LEAST_SHARE = 0.9
MORE_OFTEN_THAN_NOT = 0.5
ONLY_FRAGILE = "The only exceptions might be none within the tolerance of the clocks"

TEXTS = {
    "staffed": "Is it staffed as documented?",
    "setup": "Is it set up as documented?",
    "checked": "Is it checked as documented?",
    "scheduled": "Is it scheduled as documented?",
    "corrected": "Is it corrected as documented?",
    "known": "Do its people know how it performs?",
}
OF_FAMILY = {
    "staffing": "staffed",
    "setup": "setup",
    "checks": "checked",
    "gauges": "checked",
    "product": "corrected",
    "board": "known",
    "actions": "corrected",
}
OF_SLUG = {
    "attained-but-undelivered": "scheduled",
    "check-without-owner": "staffed",
    "closed-unverified": "corrected",
    "handover-incomplete": "known",
    "handover-one-sided": "known",
    "overtime-capacity-gap": "scheduled",
    "reaction-missing": "corrected",
    "red-without-action": "corrected",
    "schedule-rewritten": "scheduled",
    "standing-explanation": "known",
    "stop-unanswered": "staffed",
    "unexplained-time": "scheduled",
}
CONTEXT = frozenset(
    {
        # They qualify the records on which other tests stand, or define a population for them;
        # alone none of them says that a documented control was or was not met.
        "unallocated-running",
        "unexplained-time",
        "double-allocation",
        "check-while-stopped",
        "late-entry",
    }
)


def question_of(test: RecordTest) -> str:
    """Key of the question that a test belongs to; a new test follows its family."""
    return OF_SLUG.get(test.slug, OF_FAMILY[test.family])


def questions(
    tests: Sequence[RecordTest], outcomes: Sequence[Outcome], known: Iterable[RecordTest]
) -> tuple[Question, ...]:
    """The six questions with their proposed answers, in order.

    Args:
        tests: The tests that were run.
        outcomes: Their outcomes, in the same order.
        known: Every test there is; one that decides and was not run stands against a yes.
    """
    ran = {test.slug for test in tests}
    left_out = [test for test in known if test.slug not in ran | CONTEXT]
    asked = []
    for key, text in TEXTS.items():
        own = [
            outcome
            for test, outcome in zip(tests, outcomes, strict=True)
            if question_of(test) == key
        ]
        deciding = [outcome for outcome in own if outcome.slug not in CONTEXT]
        not_run = [test.slug for test in left_out if question_of(test) == key]
        answer, reason = proposed(deciding, not_run)
        shown = tuple(
            QuestionTest(one.slug, one.status, result_of(one), one.slug not in CONTEXT)
            for one in own
        )
        asked.append(Question(key, text, answer, reason, coverage(deciding), shown))
    return tuple(asked)


def proposed(deciding: Sequence[Outcome], not_run: Sequence[str] = ()) -> tuple[Answer, str]:
    """The answer that the deciding outcomes suggest, and why."""
    assessed = [one for one in deciding if one.status == "assessed" and one.counts.assessed]
    certain = [one for one in assessed if one.counts.exceptions > one.counts.fragile_exceptions]
    fragile = [one for one in assessed if one.counts.exceptions and one not in certain]
    broken = [one for one in certain if _is_more_often_than_not(one)]
    if broken:
        return "no", f"More often not met than met: {listed(map(_counted, broken))}."
    if certain:
        return "partly", _partly(certain, assessed)
    if fragile:
        said = listed(map(_counted, fragile))
        return "not determined", f"{ONLY_FRAGILE}: {said}."
    gaps = [gap for one in deciding if (gap := gap_of(one))]
    gaps += [f"{slug} was not run" for slug in not_run]
    if deciding and not gaps:
        return "yes", f"No exception in {plural(len(deciding), 'deciding test')}."
    return "not determined", _open(deciding, assessed, gaps)


def gap_of(outcome: Outcome) -> str:
    """Why an outcome is too little for a yes; nothing where it is enough."""
    counts = outcome.counts
    if outcome.status == "failed":
        return f"{outcome.slug} did not run to an end"
    if outcome.status == "not-assessable":
        return f"{outcome.slug} could not be assessed"
    if not counts.population:
        return f"{outcome.slug} had nothing to test"
    if counts.assessed < LEAST_SHARE * counts.population:
        known = share(counts.assessed / counts.population)
        return f"{outcome.slug} could assess only {known} of its population"
    if counts.assessed < LEAST_ASSESSED:
        return f"{outcome.slug} has only {plural(counts.assessed, 'assessed unit')}"
    return ""


def coverage(deciding: Sequence[Outcome]) -> str:
    """How much of what decides could be assessed."""
    if not deciding:
        return ""
    assessed = [one for one in deciding if one.counts.assessed]
    units = sum(one.counts.assessed for one in assessed)
    population = sum(one.counts.population for one in deciding)
    said = f"{x_of_n(len(assessed), len(deciding))} deciding tests assessed"
    if population:
        said += (
            f"; in them {count(units)} of {count(population)} units ({share(units / population)})"
        )
    return f"{said}."


def _is_more_often_than_not(outcome: Outcome) -> bool:
    if outcome.interval is None or outcome.counts.assessed < LEAST_ASSESSED:
        return False
    return outcome.interval.lower > MORE_OFTEN_THAN_NOT


def _counted(outcome: Outcome) -> str:
    return f"{outcome.slug} {x_of_n(outcome.counts.exceptions, outcome.counts.assessed)}"


def _partly(certain: Sequence[Outcome], assessed: Sequence[Outcome]) -> str:
    ordered = sorted(certain, key=lambda one: -one.counts.exceptions / one.counts.assessed)
    said = f"Exceptions in {listed(map(_counted, ordered))}."
    clean = len([one for one in assessed if not one.counts.exceptions])
    if clean:
        said += f" None in {plural(clean, 'other deciding test')}."
    return said


def _open(deciding: Sequence[Outcome], assessed: Sequence[Outcome], gaps: Sequence[str]) -> str:
    if not deciding:
        return "No deciding test for this question was run."
    if not assessed:
        return "No deciding test could be assessed."
    return f"No exception, but too little to say yes: {listed(gaps)}."

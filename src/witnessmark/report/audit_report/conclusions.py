"""The six questions: what the auditor concludes, beside what the rule proposes from the records.

Where the auditor has not concluded yet, the proposal is printed as a proposal. A nonconformity on a
question makes a proposed yes or not determined a partly; it never makes anything better.
"""

from collections.abc import Sequence

from witnessmark.audit.items import Finding
from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.record_test import RecordTest, catalogue
from witnessmark.report.audit_report.findings import NONCONFORMITIES, grade_of, standing
from witnessmark.report.audit_report.sources import Sources
from witnessmark.report.audit_report.values import ConclusionSaid
from witnessmark.report.gather.questions import question_of, questions
from witnessmark.report.model import Question
from witnessmark.report.words import bounds, plural, share
from witnessmark.stats.proportion import exact_interval

LEAST = 20
MOST_UNKNOWN = 0.1


def conclusions_said(sources: Sources) -> tuple[ConclusionSaid, ...]:
    """All six, in order."""
    tests, outcomes = _known(sources.outcomes.get(sources.freeze, ()))
    asked = questions(tests, outcomes, catalogue().values())
    bearing = _bearing(sources)
    return tuple(_one(sources, item, bearing.get(item.key, ()), bool(tests)) for item in asked)


def _known(outcomes: Sequence[Outcome]) -> tuple[list[RecordTest], list[Outcome]]:
    """Outcomes of tests that this version still has, with those tests."""
    kept = [one for one in outcomes if one.slug in catalogue()]
    return [catalogue()[one.slug] for one in kept], kept


def _one(
    sources: Sources, asked: Question, findings: Sequence[int], has_records: bool
) -> ConclusionSaid:
    proposed = asked.answer if has_records else "not determined"
    reason = asked.reason if has_records else sources.say("conclusions.no_records")
    if findings and proposed in {"yes", "not determined"}:
        proposed, reason = "partly", f"{sources.say('conclusions.by_finding')} {reason}"
    judged = sources.state.conclusions.get(asked.key)
    return ConclusionSaid(
        key=asked.key,
        text=sources.say.named("question", asked.key),
        answer=judged.answer if judged else proposed,
        judged=judged is not None,
        proposed=proposed,
        reason=judged.reason if judged else reason,
        coverage=asked.coverage if has_records else "",
        findings=tuple(findings),
    )


def _bearing(sources: Sources) -> dict[str, tuple[int, ...]]:
    """Numbers of nonconformities by question, from the record tests that they cite."""
    found: dict[str, list[int]] = {}
    for finding in standing(sources):
        if grade_of(finding) not in NONCONFORMITIES:
            continue
        slugs = {slug for slug in slugs_of(sources, finding) if slug in catalogue()}
        for key in {question_of(catalogue()[slug]) for slug in slugs}:
            found.setdefault(key, []).append(finding.number)
    return {key: tuple(sorted(numbers)) for key, numbers in found.items()}


def slugs_of(sources: Sources, finding: Finding) -> list[str]:
    """Record tests that the facts of a finding cite, else those on its trail."""
    cited = [fact.cited.slug for fact in finding.facts if fact.cited and fact.cited.slug]
    trail = sources.state.trails.get(finding.trail)
    if not cited and trail:
        cited = [link.cited.slug for link in trail.evidence if link.cited.slug]
    return list(dict.fromkeys(cited))


def strengths_said(sources: Sources) -> tuple[str, ...]:
    """What is in order, each with its n: record tests without exception, agreeing observations."""
    clean = [one for one in sources.outcomes.get(sources.freeze, ()) if is_clean(one)]
    clean.sort(key=lambda one: (-one.counts.assessed, one.slug))
    said = [_clean(sources, one) for one in clean]
    compared = [one.result for item in sources.state.observations.values() for one in item.compared]
    agree = compared.count("agrees")
    if agree:
        said.insert(0, sources.say("strengths.agree", x=agree, n=len(compared)))
    return tuple(said)


def is_clean(outcome: Outcome) -> bool:
    """No exception among enough units, few of them unknown."""
    counts = outcome.counts
    unknown = counts.population - counts.assessed
    return (
        outcome.status == "assessed"
        and not counts.exceptions
        and counts.assessed >= LEAST
        and unknown <= MOST_UNKNOWN * counts.population
        and outcome.slug in catalogue()
    )


def _clean(sources: Sources, outcome: Outcome) -> str:
    n = outcome.counts.assessed
    upper = outcome.interval.upper if outcome.interval else exact_interval(0, n).upper
    return sources.say(
        "strengths.clean",
        finding=catalogue()[outcome.slug].finding,
        units=plural(n, "assessed unit"),
        upper=share(upper),
        slug=outcome.slug,
    )


def rate_words(outcome: Outcome) -> str:
    """The exact bounds of an outcome, as printed; empty where nothing was assessed."""
    interval = outcome.interval
    return bounds(interval.lower, interval.upper) if interval and outcome.counts.assessed else ""

"""The contrast of the audit: was the check interval kept, in running time, by attendance class.

The gaps are those of the record test itself, so the picture and the count cannot differ.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from witnessmark.record_tests.contrast import UNATTENDED
from witnessmark.record_tests.outcome import Counts, Outcome
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.report.figures import Interval, IntervalGroup, IntervalPlot
from witnessmark.report.gather.reader import Reader, whole
from witnessmark.report.gather.results import not_assessable
from witnessmark.report.model import Contrast
from witnessmark.report.words import ATTENDANCE, listed, share, span, x_of_n
from witnessmark.stats.delays import compare_delays

SLUG = "check-interval-exceeded"
WHAT = "The interval plot"
LEAST_GAPS = 10
MOST_GAPS = 3000
RUNNING_ALONE = (
    "Running unattended is not by itself a nonconformity: what counts is whether the planned "
    "checks were made."
)
GAPS = """
select
    attendance,
    measured // 60 * 60 as running_s,
    allowed as limit_s,
    exception,
    count(*) as units
from ({query})
where exception is not null and allowed > 0 and measured is not null {assessed}
group by all
order by attendance, limit_s, running_s, exception
"""


def contrast_of(
    reader: Reader, tests: Mapping[str, RecordTest], outcome: Outcome | None
) -> Contrast:
    """The contrast in a sentence and a picture, or why there is none."""
    if outcome is None:
        return Contrast(f"Not looked at: {SLUG} was not run.", None)
    if outcome.status != "assessed":
        words = {
            "failed": "the test did not run to an end",
            "nothing-to-test": "the records hold no run with a check due in running time",
        }
        why = words.get(outcome.status) or not_assessable(outcome)
        return Contrast(f"Not determined: {why}.", None)
    sentence = (
        f"{sentence_of(outcome.strata.get('attendance', {}), outcome.counts)} {RUNNING_ALONE}"
    )
    return Contrast(sentence, _plot(reader, tests[SLUG], outcome))


def sentence_of(classes: Mapping[str, Counts], whole_counts: Counts) -> str:
    """How often the limit was exceeded, attended first, then each way of being unattended."""
    attended = classes.get("attended", Counts())
    others = [(name, classes[name]) for name in UNATTENDED if name in classes]
    others = [(name, counts) for name, counts in others if counts.assessed]
    if not attended.assessed or not others:
        every = _rate(whole_counts)
        reason = "the other side of the contrast is missing"
        if not attended.assessed and not others:
            reason = "who attended is not known from the records"
        return f"Beyond the limit ran {every} of all gaps between checks; {reason}."
    said = [f"{_rate(attended)} on attended machines"]
    said += [f"{_rate(counts)} where {PLACES[name]}" for name, counts in others]
    named = attended.assessed + sum(counts.assessed for _, counts in others)
    rest = whole_counts.assessed - named
    loud = attended.exceptions + sum(counts.exceptions for _, counts in others)
    late = x_of_n(whole_counts.exceptions - loud, rest)
    tail = f" {late} others had mixed attendance, or it is not known." if rest else ""
    return f"Of the gaps between checks, beyond the limit ran {listed(said)}.{tail}"


PLACES = {
    "covered": "a neighbour covered",
    "authorised": "running unattended was authorised",
    "uncovered": "nobody covered",
}


def _rate(counts: Counts) -> str:
    rate = share(counts.exceptions / counts.assessed) if counts.assessed else "none assessed"
    return f"{x_of_n(counts.exceptions, counts.assessed)} ({rate})"


def _plot(reader: Reader, test: RecordTest, outcome: Outcome) -> IntervalPlot | None:
    assessed = "and not_applicable is null" if "not_applicable" in test.sql.query else ""
    if "not_assessable" in test.sql.query:
        assessed += " and (exception or not_assessable is null)"
    rows = reader.rows(WHAT, GAPS.format(query=test.sql.query, assessed=assessed))
    groups: dict[str, list[Interval]] = {}
    for row in rows:
        name = str(row["attendance"]) if row["attendance"] is not None else "not-assessable"
        exception = bool(row["exception"])
        running, limit = whole(row["running_s"]), whole(row["limit_s"])
        # Minutes are cut off for the picture; a gap beyond its limit stays beyond it.
        running = max(running, limit + 1) if exception else min(running, limit)
        groups.setdefault(name, []).append(Interval(running, limit, exception, whole(row["units"])))
    if not groups:
        return None
    counts = outcome.counts
    caption = (
        f"Running time between checks by attendance: {x_of_n(counts.exceptions, counts.assessed)} "
        f"gaps ran beyond their limit, grace included. {_longer(groups)}"
    ).rstrip()
    return IntervalPlot(
        tuple(IntervalGroup(name, tuple(groups[name])) for name in ATTENDANCE if name in groups),
        caption,
    )


def _longer(groups: Mapping[str, list[Interval]]) -> str:
    """By how much a gap is longer where nobody attends, with its limits."""
    alone = [interval for name in UNATTENDED for interval in groups.get(name, [])]
    sides = [_minutes(groups.get("attended", [])), _minutes(alone)]
    if min(map(len, sides)) < LEAST_GAPS:
        return ""
    found = compare_delays(sides[1], sides[0], ("unattended", "attended"))
    if found.lower is None or found.upper is None:
        return ""
    first, second = (span(round(60 * median)) for median in found.medians)
    longer, low, high = (f"{value:+.0f}" for value in (found.shift, found.lower, found.upper))
    return (
        f"The median is {second} attended and {first} unattended; an unattended gap is {longer} "
        f"min against an attended one (95 % limits {low} to {high}, gaps taken as independent)."
    )


def _minutes(intervals: list[Interval]) -> NDArray[np.float64]:
    """Running minutes of each gap; of very many a fixed draw, as every pair is compared."""
    every = np.repeat(
        [interval.running_s / 60 for interval in intervals],
        [interval.units for interval in intervals],
    )
    if len(every) <= MOST_GAPS:
        return every
    return np.random.default_rng(MOST_GAPS).choice(every, MOST_GAPS, replace=False)

"""Five things to ask at the next handover, and one suspicion dropped in the plant's favour.

Questions are the record tests' own words. They are about the process and any shift, never about a
person, and each says which count made it worth asking.
"""

from collections.abc import Mapping, Sequence

from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.report.gather.questions import CONTEXT, gap_of
from witnessmark.report.gather.reader import Reader, whole
from witnessmark.report.gather.results import lacking
from witnessmark.report.model import Ask
from witnessmark.report.prose import first_sentence
from witnessmark.report.words import ATTENDANCE, count, plural, share, x_of_n

MOST = 5
LONGEST = 320
MOST_MATTERS = 12
FIRST = (
    "suspect-shipped",
    "suspect-uncontained",
    "handover-incomplete",
    "unattended-without-permission",
    "unallocated-running",
    "check-interval-exceeded",
    "check-without-owner",
    "stop-unanswered",
    "restart-unverified",
    "last-off-late",
    "shift-without-authority",
    "handover-one-sided",
    "reaction-missing",
)
"""What can be asked and seen at a change of shift, the most urgent first; then all the others."""

OPEN_MATTERS = """
select kind, machine_id, area, since_at, detail
from open_matters
where change_at = (select max(change_at) from open_matters)
order by area, machine_id, kind, since_at
"""
BY_THE_CLOCK = """
select
    count(*) as long,
    count(*) filter (where running_s + unknown_s <= limit_s) as kept
from check_gaps
where basis = 'running-time' and wall_s > limit_s and to_kind = 'check'
"""


def asks_of(tests: Mapping[str, RecordTest], outcomes: Sequence[Outcome]) -> tuple[Ask, ...]:
    """Five questions where there are as many tests.

    First those with exceptions that do not hang on the clocks alone; then what the records cannot
    answer and a person can; then what they show to be in order, to be seen once with own eyes.
    """
    found = {one.slug: one for one in outcomes}
    order = [*FIRST, *(slug for slug in found if slug not in FIRST and slug not in CONTEXT)]
    known = [found[slug] for slug in order if slug in found and found[slug].status != "failed"]
    ranked = sorted(known, key=_urgency)
    return tuple(Ask(_question(tests[one.slug]), _reason(one), one.slug) for one in ranked[:MOST])


def _urgency(outcome: Outcome) -> int:
    if outcome.counts.exceptions > outcome.counts.fragile_exceptions:
        return 0
    return 1 if outcome.status == "not-assessable" else 2


def _question(test: RecordTest) -> str:
    words = " ".join(test.sections.get("Ask next", "").replace("`", "").split())
    words = words.removeprefix("- ").replace(" - ", " ")
    return words if len(words) <= LONGEST else first_sentence(words)


def _reason(outcome: Outcome) -> str:
    counts = outcome.counts
    if outcome.status == "not-assessable":
        return f"The records cannot answer it: {lacking(outcome)}"
    if not counts.exceptions:
        return f"No exception among {plural(counts.assessed, 'unit')}; worth seeing once"
    said = f"Raised by {x_of_n(counts.exceptions, counts.assessed)} units"
    classes = outcome.strata.get("attendance", {})
    known = [(name, one) for name, one in classes.items() if one.assessed and name in ATTENDANCE]
    if len(known) > 1:
        name, most = max(known, key=lambda it: (it[1].exceptions / it[1].assessed, it[0]))
        said += f", most often {ATTENDANCE[name]} ({x_of_n(most.exceptions, most.assessed)})"
    return said


def open_matters_of(reader: Reader) -> tuple[str, ...]:
    """What was open at the last change of shift in the records, one sentence each."""
    rows = reader.rows("The list of open matters", OPEN_MATTERS)
    said = []
    for row in rows[:MOST_MATTERS]:
        where = row["machine_id"] if row["machine_id"] is not None else row["area"]
        detail = f" ({row['detail']})" if row["detail"] else ""
        said.append(f"{where}: {str(row['kind']).replace('-', ' ')}{detail}")
    if len(rows) > MOST_MATTERS:
        said.append(f"and {count(len(rows) - MOST_MATTERS)} more")
    return tuple(said)


def dropped_of(reader: Reader, tests: Mapping[str, RecordTest], outcomes: Sequence[Outcome]) -> str:
    """One suspicion that the records answer in the plant's favour, with its count."""
    gaps = reader.one("The gaps by the clock", BY_THE_CLOCK)
    if gaps is not None and whole(gaps["kept"]):
        long, kept = whole(gaps["long"]), whole(gaps["kept"])
        look = "looks" if long == 1 else "look"
        those = "all" if kept == long else count(kept)
        return (
            f"By the clock, {plural(long, 'gap')} between checks {look} too long. In running time "
            f"{those} of them kept the limit: the machines stood. The suspicion that these checks "
            "were missed is dropped."
        )
    clean = [
        one
        for one in outcomes
        if not one.counts.exceptions and one.slug not in CONTEXT and not gap_of(one)
    ]
    if not clean:
        return (
            "None can be dropped on these records alone: no deciding test without an exception "
            "had enough assessed units. That is a limit of the records, not a mark against anyone."
        )
    best = max(clean, key=lambda one: (one.counts.assessed, one.slug))
    upper = best.interval.upper if best.interval else None
    return (
        f"One might suspect: {tests[best.slug].finding.rstrip('.')}. None of "
        f"{plural(best.counts.assessed, 'assessed unit')} shows it, which bounds the rate at "
        f"{share(upper)} (95 %). The suspicion is dropped."
    )

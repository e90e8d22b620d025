"""The page of one record test: its outcome, its prose, its strata and its rows, ready to print.

It counts nothing anew and drops nothing silently: what is capped or merged says so.
"""

from collections.abc import Mapping
from decimal import Decimal
from zoneinfo import ZoneInfo

from witnessmark.criteria.keys import KEYS
from witnessmark.record_tests.outcome import Contrast, Counts, Outcome, Row, Sensitivity
from witnessmark.record_tests.persons import without_persons
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.record_tests.shown import shown
from witnessmark.report.gather import persons
from witnessmark.report.gather.groups import Groups
from witnessmark.report.gather.questions import question_of
from witnessmark.report.gather.results import not_assessable, rate_of, whole_rate
from witnessmark.report.model import (
    CriterionUsed,
    Prose,
    Reason,
    ShownRow,
    Stratum,
    StratumRow,
    TestPage,
)
from witnessmark.report.words import (
    ATTENDANCE,
    chance,
    count,
    plural,
    share,
    x_of_n,
)

WORTH_A_WORD = 0.05
CLUSTERED = 1.05
SHARE_UNIT = "0..1"


def page_of(test: RecordTest, outcome: Outcome, groups: Groups, zone: ZoneInfo) -> TestPage:
    """Everything the paper says about one test."""
    counts = outcome.counts
    return TestPage(
        slug=test.slug,
        finding=test.finding,
        question=question_of(test),
        status=outcome.status,
        result=_result(outcome),
        prose=_prose(test),
        clauses=test.clauses,
        population=counts.population,
        rate=whole_rate(outcome),
        not_assessable=_reasons(counts.not_assessable),
        not_applicable=_reasons(counts.not_applicable),
        fragile=_fragile(counts),
        range_words=_range(outcome),
        clustering=_clustering(outcome),
        contrast=contrast_sentence(outcome.contrast),
        strata=tuple(
            stratum_of(name, values, groups)
            for name, values in outcome.strata.items()
            if len(values) > 1 or (values and name == "attendance")
        ),
        criteria=criteria_of(outcome),
        uses_absent=outcome.uses_absent,
        missing=outcome.missing,
        message=outcome.message.split("\n", maxsplit=1)[0],
        rows=tuple(_row(test, row, zone) for row in outcome.rows),
        rows_total=outcome.rows_total,
        revision=test.revision,
        sql=test.sql.query,
    )


def stratum_of(name: str, values: Mapping[str, Counts], groups: Groups) -> Stratum:
    """One stratum, attendance in the order of its classes, small groups merged."""
    merged, has_merged = persons.merged_small(values, groups.persons.get(name, {}), groups.least)
    order = list(ATTENDANCE) if name == "attendance" else []
    names = sorted(merged, key=lambda v: (order.index(v) if v in order else len(order), v))
    words = ATTENDANCE if name == "attendance" else {}
    rows = tuple(
        StratumRow(
            words.get(value, value),
            merged[value].population,
            merged[value].population - merged[value].assessed,
            rate_of(merged[value]),
        )
        for value in names
    )
    shown_as = name.replace("_", " ")
    if has_merged and len(rows) == 1:
        note = f"Not split by {shown_as}: each group has fewer than {groups.least} persons."
        return Stratum(shown_as, (), note)
    note = f"Groups of fewer than {groups.least} persons are shown together." if has_merged else ""
    return Stratum(shown_as, rows, note)


def criteria_of(outcome: Outcome) -> tuple[CriterionUsed, ...]:
    """The limits that took part, each with what its one other value would change."""
    varied = {one.criterion: one for one in outcome.sensitivity}
    return tuple(
        CriterionUsed(
            name=used.name,
            value=_valued(used.value, used.unit),
            source=used.source,
            is_default=used.is_default,
            about=KEYS[used.name].about,
            sensitivity=_sensitivity(varied[used.name]) if used.name in varied else "",
        )
        for used in outcome.criteria
    )


def _valued(value: Decimal, unit: str) -> str:
    """A limit with its unit; a share of one as a percentage."""
    if unit == SHARE_UNIT:
        return f"{(value * 100).normalize():f} %"
    return f"{value.normalize():f} {unit}".rstrip()


def _sensitivity(one: Sensitivity) -> str:
    at = f"At {_valued(one.varied_to, one.unit)}"
    if one.exceptions == one.exceptions_varied:
        return f"{at} the result would be the same."
    now = plural(one.exceptions_varied, "exception")
    return f"{at} there would be {now} instead of {count(one.exceptions)}."


def _result(outcome: Outcome) -> str:
    counts = outcome.counts
    match outcome.status:
        case "failed":
            return "This test did not run to an end, so it says nothing."
        case "not-assessable":
            return f"{not_assessable(outcome).capitalize()}."
        case "nothing-to-test":
            return "Nothing to test: the records hold no unit of its population."
        case _:
            return f"{_found(counts)}{_left_open(counts)}"


def _found(counts: Counts) -> str:
    if not counts.assessed:
        return "No unit could be assessed."
    if not counts.exceptions:
        return f"None of {plural(counts.assessed, 'assessed unit')} is an exception."
    rate = share(counts.exceptions / counts.assessed)
    units = "is an exception" if counts.exceptions == 1 else "are exceptions"
    return f"{x_of_n(counts.exceptions, counts.assessed)} assessed units {units} ({rate})."


def _left_open(counts: Counts) -> str:
    unknown = counts.population - counts.assessed
    if not unknown:
        return ""
    part = share(unknown / counts.population)
    return f" {plural(unknown, 'unit')} ({part} of the population) could not be assessed."


def _fragile(counts: Counts) -> str:
    exceptions, conforming = counts.fragile_exceptions, counts.fragile_conforming
    if not exceptions and not conforming:
        return ""
    return (
        f"Fragile, within the tolerance of the clocks: {plural(exceptions, 'exception')} might be "
        f"none, {plural(conforming, 'conforming unit')} might be exceptions."
    )


def _range(outcome: Outcome) -> str:
    if outcome.range_low is None or outcome.range_high is None:
        return ""
    if outcome.range_low == outcome.range_high:
        return ""
    return (
        f"Were every unit that is not assessable in order, the rate would be "
        f"{share(outcome.range_low)}; were every one an exception, {share(outcome.range_high)}."
    )


def _clustering(outcome: Outcome) -> str:
    if outcome.status != "assessed" or outcome.design_effect < CLUSTERED:
        return ""
    return (
        f"Exceptions cluster by shift: for the bounds a unit counts 1/{outcome.design_effect:.1f} "
        "(design effect). The bounds of strata take units as independent."
    )


def contrast_sentence(found: Contrast | None) -> str:
    """Attended against unattended where they part, and what chance would do; it names no cause."""
    if found is None or found.p > WORTH_A_WORD:
        return ""
    attended = share(found.attended_exceptions / found.attended)
    alone = share(found.unattended_exceptions / found.unattended)
    ending = (
        "That may well be chance."
        if found.adjusted > WORTH_A_WORD
        else "It does not say why: machines, parts and hours differ too."
    )
    return (
        f"Attended {x_of_n(found.attended_exceptions, found.attended)} ({attended}), unattended "
        f"{x_of_n(found.unattended_exceptions, found.unattended)} ({alone}). Were attendance "
        f"without influence, chance would part them so far with probability {chance(found.p)}; "
        f"{chance(found.adjusted)} when all tests count as looks. {ending}"
    )


def _reasons(reasons: Mapping[str, int]) -> tuple[Reason, ...]:
    return tuple(
        Reason(words, units) for words, units in sorted(reasons.items(), key=lambda it: -it[1])
    )


def _prose(test: RecordTest) -> Prose:
    given = test.sections
    return Prose(
        tests=given.get("What it tests", ""),
        matters=given.get("Why it matters", ""),
        population=given.get("Population", ""),
        not_assessable=given.get("Not assessable", ""),
        traps=given.get("Traps", ""),
        ask_next=given.get("Ask next", ""),
        source=given.get("Source", ""),
    )


def _row(test: RecordTest, row: Row, zone: ZoneInfo) -> ShownRow:
    ref, sentence = persons.sentence_of(test, row, zone)
    values = without_persons(row)
    beside = [name for name in test.strata if name not in test.shown and name != "shift"]
    shown_beside = tuple(
        (name.replace("_", " "), shown(name, values[name], zone))
        for name in beside
        if values.get(name) is not None
    )
    return ShownRow(ref, sentence, bool(row.get("is_fragile")), shown_beside)

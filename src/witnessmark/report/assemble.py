"""Builds the paper of a run: outcomes, timeline and manifest in, plain values out.

Each part is gathered in a file of its own under `gather`; this one only puts them in order. It
knows no HTML.
"""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import cast

from witnessmark.record_tests.battery import Battery
from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.record_test import RecordTest, catalogue
from witnessmark.report.figures import ForestPlot, ForestRow
from witnessmark.report.gather import (
    asks,
    escapes,
    gap,
    intervals,
    limitations,
    provenance,
    strips,
)
from witnessmark.report.gather.groups import groups_of
from witnessmark.report.gather.pages import page_of
from witnessmark.report.gather.provenance import Origin
from witnessmark.report.gather.questions import TEXTS, question_of, questions
from witnessmark.report.gather.reader import Reader, instant
from witnessmark.report.model import (
    CriterionUsed,
    FirstPage,
    Paper,
    Stratum,
    TestPage,
    TitleBlock,
    Unlock,
)
from witnessmark.report.words import listed

SHORT_HASH = 12
PERIOD = "select local_date(starts_at) as first_day, local_date(ends_at) as last_day from period"
PULLED = "select min(pulled_at) as first_at, max(pulled_at) as last_at from extracts"
PROCESSES = """
select process, count(*) as machines
from known_machines
where process is not null
group by process
order by machines desc, process
limit 4
"""


def assemble(battery: Battery, origin: Origin) -> Paper:
    """The paper of one run.

    Args:
        battery: Tests, outcomes and the timeline they read.
        origin: The plant's name, the manifest and what else stands outside the run.
    """
    reader = Reader(battery.timeline)
    tests = {test.slug: test for test in battery.tests}
    outcomes = {outcome.slug: outcome for outcome in battery.outcomes}
    groups = groups_of(reader, battery.plant.small_group)
    pages = tuple(
        page_of(tests[one.slug], one, groups, battery.plant.zone_info)
        for one in _in_order(battery.tests, battery.outcomes)
    )
    first_page = FirstPage(
        escapes=escapes.escapes_of(reader, tests.get(escapes.SLUG), outcomes.get(escapes.SLUG)),
        contrast=intervals.contrast_of(reader, tests, outcomes.get(intervals.SLUG)),
        gap=gap.gap_of(reader, battery.plant.production_day),
        asks=asks.asks_of(tests, battery.outcomes),
        open_matters=asks.open_matters_of(reader),
        dropped=asks.dropped_of(reader, tests, battery.outcomes),
    )
    merged = any(stratum.note for page in pages for stratum in page.strata)
    return Paper(
        title=_title(reader, battery, origin),
        first_page=first_page,
        questions=questions(battery.tests, battery.outcomes, catalogue().values()),
        forest=_forest(pages),
        strips=strips.strips_of(reader),
        tests=pages,
        unlocks=unlocks_of(battery.outcomes),
        criteria=_criteria(pages),
        provenance=provenance.provenance_of(
            origin, {name: held.rows for name, held in reader.store.holdings.items()}
        ),
        limitations=limitations.limitations_of(reader, battery.plant, battery.outcomes, merged),
    )


def _in_order(tests: Sequence[RecordTest], outcomes: Sequence[Outcome]) -> list[Outcome]:
    """Failed ones first, then by question; inside a question those with exceptions first."""
    order = list(TEXTS)
    rank = {test.slug: order.index(question_of(test)) for test in tests}

    def place(outcome: Outcome) -> tuple[bool, int, int, str]:
        weight = 0 if outcome.counts.exceptions else 1 if outcome.status == "assessed" else 2
        return (outcome.status != "failed", rank[outcome.slug], weight, outcome.slug)

    return sorted(outcomes, key=place)


def unlocks_of(outcomes: Sequence[Outcome]) -> tuple[Unlock, ...]:
    """What is missing, in the order of what it alone would gain, then of all that wait for it."""
    waiting: dict[str, list[str]] = defaultdict(list)
    alone: dict[str, int] = defaultdict(int)
    for outcome in outcomes:
        for need in outcome.missing:
            waiting[need].append(outcome.slug)
            alone[need] += len(outcome.missing) == 1
    order = sorted(waiting, key=lambda need: (-alone[need], -len(waiting[need]), need))
    return tuple(Unlock(need.replace("|", " or "), tuple(sorted(waiting[need]))) for need in order)


def _title(reader: Reader, battery: Battery, origin: Origin) -> TitleBlock:
    period = reader.one("The period", PERIOD) or {}
    processes = [str(row["process"]) for row in reader.rows("The title", PROCESSES)]
    today = date.min
    return TitleBlock(
        plant=origin.plant,
        process=listed(processes).capitalize() or "Process not named in the records",
        period_from=cast("date", period.get("first_day") or battery.plant.period_from or today),
        period_to=cast("date", period.get("last_day") or battery.plant.period_to or today),
        zone=reader.zone,
        freeze=reader.store.identity[:SHORT_HASH] or "in memory",
        tool_version=origin.tool_version,
        records_as_of=_pulled(reader),
    )


def _pulled(reader: Reader) -> str:
    found = reader.one("The age of the records", PULLED)
    if found is None or found["first_at"] is None:
        return "the records do not say when they were drawn"
    first, last = (f"{instant(found[name]):%Y-%m-%d}" for name in ("first_at", "last_at"))
    return f"drawn on {first}" if first == last else f"drawn between {first} and {last}"


def _forest(pages: Sequence[TestPage]) -> ForestPlot | None:
    """Every assessed test, and by attendance those with exceptions."""
    rows: list[ForestRow] = []
    for page in pages:
        if page.status != "assessed" or not page.rate.assessed:
            continue
        rate = page.rate
        rows.append(
            ForestRow(page.slug, rate.exceptions, rate.assessed, rate.rate, rate.lower, rate.upper)
        )
        by_attendance = [stratum for stratum in page.strata if stratum.name == "attendance"]
        if rate.exceptions and by_attendance and len(by_attendance[0].rows) > 1:
            rows += _strata_rows(by_attendance[0])
    if not rows:
        return None
    caption = (
        "Share of assessed units that are exceptions, with exact 95 % bounds; by attendance where "
        "there are exceptions. A test that assessed nothing has no rate and is not shown."
    )
    return ForestPlot(tuple(rows), caption)


def _strata_rows(stratum: Stratum) -> list[ForestRow]:
    return [
        ForestRow(
            row.words,
            row.rate.exceptions,
            row.rate.assessed,
            row.rate.rate,
            row.rate.lower,
            row.rate.upper,
            stratum=True,
        )
        for row in stratum.rows
        if row.rate.assessed
    ]


def _criteria(pages: Sequence[TestPage]) -> tuple[CriterionUsed, ...]:
    """Each limit once, by name."""
    used = {one.name: one for page in pages for one in page.criteria}
    return tuple(used[name] for name in sorted(used))

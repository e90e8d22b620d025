"""What a report takes from the working paper that lies beside the frozen records: pictures, limits.

The numbers come from kept outcomes, never from here. A paper that is not at hand costs its pictures
and is said to be missing; it never costs the report.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from witnessmark.errors import UnusableInputError
from witnessmark.record_tests.outcome import Outcome
from witnessmark.report.audit_report.conclusions import slugs_of
from witnessmark.report.audit_report.findings import standing
from witnessmark.report.audit_report.sources import Sources
from witnessmark.report.audit_report.values import Picture
from witnessmark.report.figures import ForestPlot, ForestRow
from witnessmark.report.gather.results import rate_of, whole_rate
from witnessmark.report.model import FirstPage
from witnessmark.report.pictures import day_ribbon, forest_plot, interval_plot
from witnessmark.report.words import ATTENDANCE

MOST_TESTS = 6


@dataclass(frozen=True)
class Read:
    """What the records gave.

    Args:
        pictures: Interval plot, day ribbon, forest plot, as far as they could be made.
        limits: What the records cannot say.
    """

    pictures: tuple[Picture, ...] = ()
    limits: tuple[str, ...] = ()


def read_records(sources: Sources) -> Read:
    """Reads what the freeze that answers the questions has beside it."""
    forest = tuple(_forest(sources, sources.outcomes.get(sources.freeze, ())))
    if not sources.freeze:
        return Read(forest)
    try:
        paper = sources.papers.get(sources.freeze)
    except UnusableInputError as error:
        return Read(forest, (sources.say("records.unusable", why=str(error)),))
    if paper is None:
        return Read(forest, (sources.say("records.not_at_hand"),))
    return Read((*_drawn(sources, paper.first_page), *forest), paper.limitations)


def _drawn(sources: Sources, page: FirstPage) -> Iterator[Picture]:
    contrast, gap = page.contrast, page.gap
    if contrast.plot is not None:
        drawn = interval_plot.draw(contrast.plot)
        yield Picture("interval", contrast.plot.caption, contrast.sentence, drawn)
    if gap is not None and gap.ribbon is not None:
        caption = sources.say("pictures.ribbon", sentence=gap.sentence)
        yield Picture("ribbon", caption, gap.ribbon.caption, day_ribbon.draw(gap.ribbon))


def _forest(sources: Sources, outcomes: Sequence[Outcome]) -> Iterator[Picture]:
    """The tests that findings cite, with their split by attendance."""
    cited = [slug for one in standing(sources) for slug in slugs_of(sources, one)]
    by_slug = {one.slug: one for one in outcomes if one.counts.assessed}
    rows: list[ForestRow] = []
    for slug in [slug for slug in dict.fromkeys(cited) if slug in by_slug][:MOST_TESTS]:
        rows += forest_rows(by_slug[slug])
    if rows:
        caption = sources.say("pictures.forest")
        told = "; ".join(f"{row.label} {row.exceptions} of {row.assessed}" for row in rows)
        yield Picture("forest", caption, told, forest_plot.draw(ForestPlot(tuple(rows), caption)))


def forest_rows(outcome: Outcome) -> Iterator[ForestRow]:
    """One test and its attendance classes."""
    rate = whole_rate(outcome)
    yield ForestRow(outcome.slug, rate.exceptions, rate.assessed, rate.rate, rate.lower, rate.upper)
    classes = outcome.strata.get("attendance", {})
    shown = [name for name in ATTENDANCE if name in classes and classes[name].assessed]
    if len(shown) > 1:
        for name in shown:
            one = rate_of(classes[name])
            yield ForestRow(
                ATTENDANCE[name],
                one.exceptions,
                one.assessed,
                one.rate,
                one.lower,
                one.upper,
                stratum=True,
            )

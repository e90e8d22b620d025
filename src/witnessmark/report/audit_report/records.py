"""What a report takes from the frozen records themselves: pictures, sizes of groups, limits.

The numbers come from kept outcomes, never from here. Records that are not at hand, or were changed,
cost their pictures and are said to be so; they never cost the report.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from witnessmark.audit.state import AuditState
from witnessmark.criteria.load import Criteria, Criterion, default_criteria, load_criteria
from witnessmark.errors import UnusableInputError
from witnessmark.record_tests.battery import stated_period
from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.record_test import catalogue
from witnessmark.records.manifest import read_manifest
from witnessmark.records.plant import FILE as PLANT
from witnessmark.records.plant import Plant, load_plant
from witnessmark.records.reopen import open_freeze
from witnessmark.report.audit_report.conclusions import slugs_of
from witnessmark.report.audit_report.findings import standing
from witnessmark.report.audit_report.sources import Sources
from witnessmark.report.audit_report.values import Picture
from witnessmark.report.figures import ForestPlot, ForestRow
from witnessmark.report.gather import gap, intervals, limitations
from witnessmark.report.gather.groups import Groups, groups_of
from witnessmark.report.gather.reader import Reader
from witnessmark.report.gather.results import rate_of, whole_rate
from witnessmark.report.pictures import day_ribbon, forest_plot, interval_plot
from witnessmark.report.words import ATTENDANCE
from witnessmark.timeline.build import Timeline

CRITERIA, TIMELINE = "criteria.toml", "timeline"
MOST_TESTS = 6


@dataclass(frozen=True)
class Read:
    """What the records gave.

    Args:
        pictures: Interval plot, forest plot, day ribbon, as far as they could be made.
        groups: How many persons stand behind shifts and roles; None where that is not known.
        limits: What the records cannot say.
    """

    pictures: tuple[Picture, ...] = ()
    groups: Groups | None = None
    limits: tuple[str, ...] = ()


def read_records(sources: Sources) -> Read:
    """Reads the freeze that answers the questions."""
    outcomes = sources.outcomes.get(sources.freeze, ())
    forest = tuple(_forest(sources, outcomes))
    folder = sources.folders.get(sources.freeze)
    if folder is None:
        said = (sources.say("records.not_at_hand"),) if sources.freeze else ()
        return Read(forest, None, said)
    try:
        return _opened(sources, folder, outcomes, forest)
    except UnusableInputError as error:
        why = str(error).replace(f"{folder}/", "")
        return Read(forest, None, (sources.say("records.unusable", why=why),))


def _opened(
    sources: Sources, folder: Path, outcomes: Sequence[Outcome], forest: tuple[Picture, ...]
) -> Read:
    plant, cache = plant_of(folder, sources.state), folder / TIMELINE
    store = open_freeze(folder, cache)
    try:
        timeline = Timeline(store, criteria_of(folder, outcomes), stated_period(plant), cache)
        reader = Reader(timeline)
        groups = groups_of(reader, plant.small_group)
        drawn = tuple(_drawn(sources, reader, outcomes, plant))
        limits = limitations.limitations_of(reader, plant, outcomes, merged=False)
    finally:
        store.con.close()
    return Read((*drawn, *forest), groups, limits)


def plant_of(folder: Path, state: AuditState) -> Plant:
    """The plant's settings: its file where the freeze has it, else what the manifest says."""
    if (folder / PLANT).is_file():
        return load_plant(folder)
    manifest = read_manifest(folder)
    if manifest is None:
        return Plant(zone=state.opening.zone)

    def on(text: str | None) -> date | None:
        return date.fromisoformat(text[:10]) if text else None

    return Plant(
        zone=manifest.zone,
        person_basis=manifest.person_basis,  # type: ignore[arg-type]  # written by intake
        period_from=on(manifest.period_from),
        period_to=on(manifest.period_to),
    )


def criteria_of(folder: Path, outcomes: Sequence[Outcome]) -> Criteria:
    """The limits in force: the plant's file where the freeze has it, else those the run used."""
    if (folder / CRITERIA).is_file():
        return load_criteria(folder / CRITERIA)
    in_force = dict(default_criteria().in_force)
    for used in (used for outcome in outcomes for used in outcome.criteria):
        if used.name in in_force:
            key = in_force[used.name].key
            in_force[used.name] = Criterion(key, used.value, used.source, used.is_default)
    return Criteria(in_force)


def _drawn(
    sources: Sources, reader: Reader, outcomes: Sequence[Outcome], plant: Plant
) -> Iterator[Picture]:
    say = sources.say
    by_slug = {one.slug: one for one in outcomes}
    contrast = intervals.contrast_of(reader, catalogue(), by_slug.get(intervals.SLUG))
    if contrast.plot is not None:
        told = contrast.plot.caption
        yield Picture("interval", told, contrast.sentence, interval_plot.draw(contrast.plot))
    found = gap.gap_of(reader, plant.production_day)
    if found is not None and found.ribbon is not None:
        caption = say("pictures.ribbon", sentence=found.sentence)
        yield Picture("ribbon", caption, found.ribbon.caption, day_ribbon.draw(found.ribbon))


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

"""What the reader must hold against the paper: clocks, gaps in the records, defaults, the basis.

Each is one sentence with its count. A limitation of the records is not a mark against anyone.
"""

from collections.abc import Iterator, Sequence

from witnessmark.record_tests.outcome import Outcome
from witnessmark.records.plant import Plant
from witnessmark.report.gather.reader import Reader, whole
from witnessmark.report.gather.results import MUCH_UNKNOWN
from witnessmark.report.words import count, listed, plural, share, x_of_n

WHAT = "A limitation"
NO_OFFSET = (
    "No clock offset was given: times of different systems are taken as they are, with the default "
    "tolerances. A result within twice the tolerance is counted as fragile."
)
OFFSET = (
    "Clock offsets were taken off before anything was compared. A result within twice the "
    "tolerance of the clocks is counted as fragile."
)
NO_ATTENDANCE = "Who attended which machine is not in the records: no attendance class is known."
NO_STATES = "No machine states were given: running means inside a run and outside a stoppage."
NO_COUNTS = "No piece counts were given: running means the state running."
WRITTEN = (
    "Records are as old as their extracts, and show what was written down. What was done and not "
    "written, or written and not done, is for the floor."
)
BASIS = {
    "places": (
        "Persons were not recorded, only places: tests that need to know who did something, by "
        "pseudonym, were not run."
    ),
    "allocations": (
        "Persons enter as pseudonyms in allocations only: tests that profile a person were not run."
    ),
}
PLANNED = """
select count(*) as n, count(*) filter (where basis = 'planned') as planned
from allocations
"""
UNKNOWN_TIME = """
select
    coalesce(sum(date_diff('second', from_at, to_at)), 0) as whole_s,
    coalesce(sum(date_diff('second', from_at, to_at)) filter (where state = 'unknown'), 0)
    as unknown_s
from running_states
"""
OUTSIDE = """
select
    count(*) as n,
    local_date(min(happened_at)) as first_day,
    local_date(max(happened_at)) as last_day
from (
    select start_at as happened_at from runs
    union all
    select start_at as happened_at from stoppages
    union all
    select done_at as happened_at from checks
) as happened
inner join period
    on happened_at < starts_at - interval 1 day or happened_at >= ends_at + interval 1 day
"""
AMBIGUOUS = "select count(*) as n from checks where done_at_quality = 'ambiguous'"


def limitations_of(
    reader: Reader, plant: Plant, outcomes: Sequence[Outcome], merged: bool
) -> tuple[str, ...]:
    """All limitations, the general ones first; what could not be made stands last."""
    said = [
        *_of_time(reader),
        *_of_attendance(reader),
        *_of_running(reader),
        *_of_outcomes(outcomes),
    ]
    if plant.person_basis in BASIS:
        said.append(BASIS[plant.person_basis])
    if merged:
        said.append(
            f"Groups of fewer than {plant.small_group} persons are merged wherever a result is "
            "split by shift or role."
        )
    faults = dict.fromkeys(f"{fault}." for fault in reader.faults)
    return (*said, WRITTEN, *faults)


def _of_time(reader: Reader) -> Iterator[str]:
    outside = reader.one(WHAT, OUTSIDE)
    if outside and whole(outside["n"]):
        yield (
            f"More than a day outside the stated period: {plural(whole(outside['n']), 'record')} "
            f"of runs, stops and checks, from {outside['first_day']} to {outside['last_day']}. "
            "They are counted like all others; to leave them out, cut the export."
        )
    yield OFFSET if reader.store.has("clocks") else NO_OFFSET
    found = reader.one(WHAT, AMBIGUOUS)
    if found and whole(found["n"]):
        yield (
            f"{plural(whole(found['n']), 'check')} in the hour that occurs twice in autumn cannot "
            "be put in order, and cannot be assessed where order matters."
        )


def _of_attendance(reader: Reader) -> Iterator[str]:
    if not reader.store.has("allocations"):
        yield NO_ATTENDANCE
        return
    found = reader.one(WHAT, PLANNED)
    if found and whole(found["planned"]):
        planned = x_of_n(whole(found["planned"]), whole(found["n"]))
        yield (
            f"{planned} allocations are planned ones. Where no actual one is recorded, attendance "
            "rests on the plan."
        )


def _of_running(reader: Reader) -> Iterator[str]:
    if not reader.store.has("machine_states"):
        yield NO_STATES
    elif not reader.store.has("piece_counts"):
        yield NO_COUNTS
    found = reader.one(WHAT, UNKNOWN_TIME)
    if found and whole(found["unknown_s"]):
        part = share(whole(found["unknown_s"]) / whole(found["whole_s"]))
        yield (
            f"For {part} of the machines' time no record says whether they ran. It counts as "
            "unknown, never as running and never as stopped."
        )


def _of_outcomes(outcomes: Sequence[Outcome]) -> Iterator[str]:
    fragile = sum(one.counts.fragile_exceptions + one.counts.fragile_conforming for one in outcomes)
    if fragile:
        hangs = "result hangs" if fragile == 1 else "results hang"
        yield f"{count(fragile)} {hangs} on the clocks, over all tests together."
    unknown = [one.slug for one in outcomes if _is_much_unknown(one)]
    if unknown:
        yield f"More than a tenth of the population could not be assessed in {listed(unknown)}."
    defaults = {used.name for one in outcomes for used in one.criteria if used.is_default}
    if defaults:
        yield (
            f"{plural(len(defaults), 'limit used is a default', 'limits used are defaults')}, "
            "because the plant stated no rule of its own; each test shows what another value would "
            "change."
        )


def _is_much_unknown(outcome: Outcome) -> bool:
    counts = outcome.counts
    return counts.population - counts.assessed > MUCH_UNKNOWN * counts.population

"""What one outcome says in a line, the same on the page, in the summary and under a question."""

from witnessmark.record_tests.outcome import Counts, Outcome
from witnessmark.report.model import Rate
from witnessmark.report.words import bounds, count, listed, share, x_of_n
from witnessmark.stats.proportion import exact_interval

MUCH_UNKNOWN = 0.1


def result_of(outcome: Outcome) -> str:
    """The result in a line, never a number without its denominator."""
    counts = outcome.counts
    match outcome.status:
        case "failed":
            return "did not run to an end"
        case "not-assessable":
            return not_assessable(outcome)
        case "nothing-to-test":
            return "nothing to test: no such unit in the records"
        case _:
            return f"{_assessed(outcome)}{_unknown(counts)}"


def not_assessable(outcome: Outcome) -> str:
    """Why a test could not be assessed as a whole."""
    return f"not assessable: {lacking(outcome)}"


def lacking(outcome: Outcome) -> str:
    """What a test that could not be assessed waits for."""
    if outcome.missing:
        named = (need.replace("|", " or ") for need in outcome.missing)
        return f"the records lack {listed(named)}"
    return "it waits for the plant to record a basis for data on persons"


def rate_of(counts: Counts) -> Rate:
    """The rate of some counts with exact bounds, units taken as independent."""
    interval = exact_interval(counts.exceptions, counts.assessed)
    if interval.rate is None:
        return Rate(0, 0, None, None, None)
    return Rate(counts.exceptions, counts.assessed, interval.rate, interval.lower, interval.upper)


def whole_rate(outcome: Outcome) -> Rate:
    """The rate of a whole test with the bounds of the engine, clustering allowed for."""
    counts, interval = outcome.counts, outcome.interval
    if interval is None or not counts.assessed:
        return Rate(counts.exceptions, counts.assessed, None, None, None)
    rate = counts.exceptions / counts.assessed
    return Rate(counts.exceptions, counts.assessed, rate, interval.lower, interval.upper)


def _assessed(outcome: Outcome) -> str:
    rate = whole_rate(outcome)
    if rate.rate is None:
        return "no unit could be assessed"
    said = f"{x_of_n(rate.exceptions, rate.assessed)}, {share(rate.rate)}"
    return f"{said} ({bounds(rate.lower, rate.upper)})"


def _unknown(counts: Counts) -> str:
    unknown = counts.population - counts.assessed
    if not unknown:
        return ""
    said = f"; {count(unknown)} not assessable"
    if unknown > MUCH_UNKNOWN * counts.population:
        said += f" ({share(unknown / counts.population)} of the population)"
    return said

"""`witnessmark size`: how many to look at."""

from witnessmark.cli.stated import PLAIN, Output, state
from witnessmark.cli.values import Share
from witnessmark.errors import UnusableInputError, Where
from witnessmark.stats.attribute_sample import attribute_sample
from witnessmark.stats.detection import detection_sample
from witnessmark.stats.result import percent


def run(
    rate: Share,
    confidence: Share = 0.95,
    *,
    lot: int | None = None,
    more_than: int = 0,
    expecting: Share | None = None,
    output: Output = PLAIN,
) -> None:
    """Say how many to look at so that a rate would be seen.

    Args:
        rate: The rate that is to be seen, or would be too much: 5% or 0.05.
        confidence: Chance that it is seen: 95% or 0.95.
        lot: Number in the lot; none for a process or a large population.
        more_than: More than so many deviations are to be seen.
        expecting: Rate that is expected all the same: the sample in which so many may be found
            and `rate` still be excluded.
        output: How the result leaves the command.
    """
    if expecting is None:
        sample = detection_sample(rate, confidence, more_than, lot)
        figures = [
            ("Look at", sample.n),
            ("To see more than", sample.accept),
            ("Rate to be seen", percent(sample.rate)),
            ("Lot", sample.lot),
            ("Deviations in the lot at that rate", sample.deviations),
            ("Chance to miss it", percent(sample.chance_to_miss)),
        ]
        state(sample, figures, output)
        return
    if lot is not None or more_than:
        raise UnusableInputError.one(
            Where("--expecting"),
            "it plans for a large population and finds by itself how many may be found.",
            "no --lot and no --more-than beside it",
        )
    plan = attribute_sample(expecting, rate, 1 - confidence)
    figures = [
        ("Look at", plan.n),
        ("Deviations that may be found", plan.expected),
        ("Rate expected", percent(plan.expected_rate)),
        ("Rate to be excluded", percent(plan.tolerable_rate)),
        ("Risk to pass at that rate", percent(plan.risk)),
    ]
    state(plan, figures, output)

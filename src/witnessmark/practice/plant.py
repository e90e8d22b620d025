"""Builds the practice plant: a healthy simulation with the planted stories, and its answer key.

`build` is the way in. The same seed gives the same plant, byte for byte.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from witnessmark.practice.answer_key import AnswerKey, LookAlike, Weakness
from witnessmark.practice.model import Plant
from witnessmark.practice.origins import canonical_tables, write_extracts
from witnessmark.practice.shop import Habits
from witnessmark.practice.weaknesses import STORIES
from witnessmark.practice.weaknesses.story import Story

LEAST_WEEKS = 13


@dataclass(frozen=True)
class PracticePlant:
    """A simulated plant.

    Args:
        tables: Canonical tables; instants are aware, as an export would write them (the clock of
            the laboratory is off by what `clocks` says).
        key: What is to be found in them, and what is not.
    """

    tables: dict[str, list[dict[str, object]]]
    key: AnswerKey


def build(seed: int = 7, weeks: int = LEAST_WEEKS) -> PracticePlant:
    """The practice plant of a seed, with its answer key.

    Args:
        seed: Every draw comes from it; the same seed gives the same plant.
        weeks: Weeks from Monday 31 August 2026 on, at least 13.

    Raises:
        ValueError: Fewer weeks than the planted stories need.
    """
    if weeks < LEAST_WEEKS:
        raise ValueError(weeks)
    return build_with([story() for story in STORIES], seed, weeks)


def build_with(stories: Sequence[Story], seed: int, weeks: int) -> PracticePlant:
    """A plant in which only the given stories happen; without any it is a healthy one.

    Args:
        stories: In the order in which they step in; most need all of the thirteen weeks.
        seed: Every draw comes from it.
        weeks: Weeks from Monday 31 August 2026 on.
    """
    plant = Plant(seed, weeks, _joined([story.habits() for story in stories]))
    plant.run()
    for story in stories:
        story.at_machines(plant)
    plant.record()
    for story in stories:
        story.on_record(plant)
    plant.report()
    for story in stories:
        story.on_board(plant)
    write_extracts(plant.shop)
    told = [story.told(plant) for story in stories]
    key = AnswerKey(
        tuple(one for one in told if isinstance(one, Weakness)),
        tuple(one for one in told if isinstance(one, LookAlike)),
    )
    return PracticePlant(canonical_tables(plant.shop), key)


def _joined(habits: Sequence[Habits]) -> Habits:
    return Habits(
        tuple(shift for one in habits for shift in one.overtime),
        frozenset(night for one in habits for night in one.open_nights),
        {night: stop for one in habits for night, stop in one.night_stops.items()},
    )

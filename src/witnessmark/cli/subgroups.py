"""Subgroups of a column, in time order, as charts and capability take them.

This module knows the file and no statistic.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Annotated

from cyclopts import Parameter

from witnessmark.errors import UnusableInputError, Where
from witnessmark.records.study_table import StudyTable
from witnessmark.stats.run_rules import NELSON, WESTERN_ELECTRIC, RunRule

BEYOND_THREE = (RunRule("beyond", 1, 1, 3.0),)
RULES = {"beyond-3": BEYOND_THREE, "western-electric": WESTERN_ELECTRIC, "nelson": NELSON}


@Parameter(name="*")
@dataclass(frozen=True)
class Grouping:
    """How the rows of a file, which stand in time order, make subgroups.

    Args:
        subgroup: Column whose cell is the same for the rows of one subgroup; they stand together.
        size: Rows of one subgroup, where no column says it.
    """

    subgroup: Annotated[str | None, Parameter(negative="")] = None
    size: int | None = None

    def labels(self, study: StudyTable) -> list[str] | None:
        """The subgroup of each row; None for individual values.

        Raises:
            UnusableInputError: Both ways are given, a subgroup comes again later, or the last one
                is not full.
        """
        if self.subgroup is not None and self.size is not None:
            raise UnusableInputError.one(
                Where("--subgroup and --size"), "both make subgroups.", "one of them"
            )
        if self.subgroup is not None:
            return _together(study, self.subgroup)
        if self.size is None:
            return None
        if self.size <= 1 or len(study.rows) % self.size:
            raise UnusableInputError.one(
                study.where,
                f"{len(study.rows)} rows cannot be cut into subgroups of {self.size}.",
                "whole subgroups of at least 2",
                "Where one is not full, give the column that tells them apart with --subgroup.",
            )
        return [str(place // self.size + 1) for place in range(len(study.rows))]

    def values(self, study: StudyTable, column: str) -> list[float] | list[list[float]]:
        """The numbers of a column, in subgroups where there are some."""
        numbers, labels = study.numbers(column), self.labels(study)
        if labels is None:
            return numbers
        cut = groupby(zip(labels, numbers, strict=True), key=lambda pair: pair[0])
        return [[number for _, number in members] for _, members in cut]

    def rows(self, study: StudyTable) -> list[tuple[str, int]]:
        """Name and first row of each point of a chart."""
        labels = self.labels(study)
        if labels is None:
            return [(f"row {row}", row) for row, _ in study.rows]
        cut = groupby(zip(labels, study.rows, strict=True), key=lambda pair: pair[0])
        firsts = [(label, next(members)[1][0]) for label, members in cut]
        return [(f"{label}, from row {row}", row) for label, row in firsts]


INDIVIDUALS = Grouping()


def _together(study: StudyTable, column: str) -> list[str]:
    labels = study.texts(column)
    seen: set[str] = set()
    for place, label in enumerate(labels):
        if place and label == labels[place - 1]:
            continue
        if label in seen:
            raise UnusableInputError.one(
                replace(study.where, row=study.rows[place][0], column=column),
                f'subgroup "{label}" comes again.',
                "the rows of a subgroup together, each subgroup with a name of its own",
            )
        seen.add(label)
    return labels


def outside_named(places: Sequence[int], rows: Sequence[tuple[str, int]], lag: int = 0) -> str:
    """The points at these positions, counted from 1, with the rows of the file they come from."""
    named = [f"{place + 1} ({rows[place + lag][0]})" for place in places]
    return ", ".join(named) or "none"

"""Attribute gauge study: what each appraiser misses and wrongly rejects, against a reference.

Knows no person: appraisers are names given by the caller, shown in the order given, never ranked.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.agreement import FleissKappa, Kappa, cohen_kappa, fleiss_kappa
from witnessmark.stats.proportion import Interval, exact_interval
from witnessmark.stats.result import counted, percent

FEW_BAD_PARTS = 10  # fewer bad parts say little about misses (common practice, no source)


@dataclass(frozen=True)
class AppraiserResult:
    """What one appraiser decided, against the reference.

    Args:
        effectiveness: Parts decided rightly in every trial, of all parts.
        consistency: Parts decided alike in every trial, right or wrong, of all parts.
        misses: Bad parts accepted, of all decisions on bad parts.
        false_alarms: Good parts rejected, of all decisions on good parts.
        missed_parts: Bad parts accepted at least once.
        kappa: Agreement of the decisions with the reference.
    """

    effectiveness: Interval
    consistency: Interval
    misses: Interval
    false_alarms: Interval
    missed_parts: int
    kappa: Kappa
    method: str = "counts against the reference, exact limits"

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold."""
        return (*self.effectiveness.assumptions, "The reference is right (not checked).")

    @property
    def sentence(self) -> str:
        """The result in words."""
        confidence = percent(self.effectiveness.confidence)
        return (
            f"bad parts accepted {_limits(self.misses)}, good parts rejected "
            f"{_limits(self.false_alarms)}, parts right in every trial "
            f"{_limits(self.effectiveness)}; each with {confidence} limits."
        )


@dataclass(frozen=True)
class AttributeStudy:
    """An attribute gauge study.

    Args:
        parts: Number of parts.
        bad_parts: How many of them are bad by the reference.
        trials: Decisions of each appraiser on each part.
        by_appraiser: Appraiser with the result.
        between: Agreement of all decisions on a part; None with a single one.
        method: How it was found.
        assumptions: What must hold, with what was checked.
    """

    parts: int
    bad_parts: int
    trials: int
    by_appraiser: Mapping[str, AppraiserResult]
    between: FleissKappa | None
    method: str
    assumptions: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The study in words."""
        each = " ".join(f"{name}: {found.sentence}" for name, found in self.by_appraiser.items())
        return (
            f"{counted(self.parts, 'part')}, {self.bad_parts} bad by the reference, "
            f"{counted(self.trials, 'trial')} each. {each} The figures hold for parts as hard to "
            "judge as these and for the conditions of the study."
        )


def attribute_study(
    decisions: Mapping[str, ArrayLike], reference: ArrayLike, confidence: float = 0.95
) -> AttributeStudy:
    """Gives what each appraiser misses and wrongly rejects, against a reference.

    Args:
        decisions: Appraiser with the decisions by part and trial: 1 or True accepts, 0 or False
            rejects.
        reference: For each part 1 where it is good, 0 where it is bad.
        confidence: Two-sided confidence of the limits.

    Returns:
        For each appraiser effectiveness, consistency, misses and false alarms with exact limits,
        and kappa against the reference. A study without bad (good) parts has no rate of misses
        (false alarms): the rate is None and its limits are 0 and 1.

    Raises:
        UnfitNumbersError: No appraiser, no part, decisions other than 0 and 1 or missing, or
            appraisers with differing numbers of parts or trials.

    Shapes:
        decisions: each (n_parts, n_trials) or (n_parts,); reference: (n_parts,)

    Units:
        Shares 0..1.

    Assumes:
        Parts independent. Trials on one part are not: limits of misses and false alarms take
        every decision as its own and are too narrow where some parts are hard for everybody.

    Source:
        AIAG, Measurement Systems Analysis, attribute study (memory); limits: Clopper and Pearson,
        Biometrika 26 (1934) 404-413.

    Examples:
        >>> reference = [1, 1, 1, 0, 0]
        >>> found = attribute_study({"A": [[1, 1], [1, 0], [1, 1], [0, 0], [1, 0]]}, reference)
        >>> one = found.by_appraiser["A"]
        >>> one.effectiveness.rate, one.misses.rate, round(one.false_alarms.rate, 3)
        (0.6, 0.25, 0.167)
    """
    good = _zeros_and_ones("reference", reference)
    if good.ndim != 1:
        raise UnfitNumbersError(f"reference of shape {good.shape}", "one value for each part")
    if not decisions:
        raise UnfitNumbersError("decisions: no appraiser", "at least one")
    tables = {name: _table(name, rows, len(good)) for name, rows in decisions.items()}
    shapes = {table.shape for table in tables.values()}
    if len(shapes) > 1:
        raise UnfitNumbersError(
            f"decisions of shapes {sorted(shapes)}", "as many trials for each appraiser"
        )
    all_decisions = np.column_stack(list(tables.values()))
    bad, per_part = int(np.sum(~good)), all_decisions.shape[1]
    accepted = all_decisions.sum(axis=1)
    between = None
    if per_part > 1 and len(good) > 1:
        between = fleiss_kappa(np.column_stack([per_part - accepted, accepted]))
    enough = "fewer than" if bad < FEW_BAD_PARTS else "at least"
    trials = per_part // len(tables)
    return AttributeStudy(
        len(good),
        bad,
        trials,
        {name: _appraiser(table, good, confidence) for name, table in tables.items()},
        between,
        "counts against the reference, exact limits",
        (
            "The reference is right (not checked).",
            (
                f"Bad parts enough to show misses: {bad}, {enough} {FEW_BAD_PARTS}; parts near "
                "the limit of good and bad must be among them (not checked)."
            ),
            (
                f"Decisions independent: {counted(trials, 'trial')} of the same part are not "
                "wholly so; limits of misses and false alarms are then too narrow."
            ),
        ),
    )


def _appraiser(
    table: NDArray[np.bool_], good: NDArray[np.bool_], confidence: float
) -> AppraiserResult:
    right = table == good[:, None]
    on_bad, on_good = table[~good], ~table[good]
    cross = [
        [int(np.sum(~table[~good])), int(np.sum(~table[good]))],
        [int(np.sum(table[~good])), int(np.sum(table[good]))],
    ]
    alike = (table == table[:, :1]).all(axis=1)
    return AppraiserResult(
        exact_interval(int(right.all(axis=1).sum()), len(good), confidence),
        exact_interval(int(alike.sum()), len(good), confidence),
        exact_interval(int(on_bad.sum()), on_bad.size, confidence),
        exact_interval(int(on_good.sum()), on_good.size, confidence),
        int(on_bad.any(axis=1).sum()),
        cohen_kappa(cross, confidence=confidence),
    )


def _table(name: str, rows: ArrayLike, parts: int) -> NDArray[np.bool_]:
    table = _zeros_and_ones(f"decisions of {name}", rows)
    table = table[:, None] if table.ndim == 1 else table
    if table.ndim != len(("parts", "trials")) or len(table) != parts or table.size == 0:
        raise UnfitNumbersError(
            f"decisions of {name} of shape {table.shape}", f"{parts} parts by at least 1 trial"
        )
    return table


def _zeros_and_ones(name: str, values: ArrayLike) -> NDArray[np.bool_]:
    try:
        table = np.asarray(values, dtype=float)
    except ValueError as ragged:
        raise UnfitNumbersError(f"{name}: rows of different length", "a full table") from ragged
    row = require.numbers(name, table.ravel())
    other = row[(row != 0) & (row != 1)]
    if len(other):
        raise UnfitNumbersError(f"{name}: {other[0]:g}", "1 for good or accepted, 0 for bad")
    return table.astype(bool)


def _limits(found: Interval) -> str:
    if found.rate is None:
        return "not seen (no such part)"
    return (
        f"{found.x:g} of {found.n:g} ({percent(found.rate)}, {percent(found.lower)} to "
        f"{percent(found.upper)})"
    )

"""The planted weaknesses and look-alikes, one class each, and what they say in the answer key."""

from collections.abc import Callable

from witnessmark.practice.weaknesses import (
    boards,
    checks,
    night_row,
    night_stops,
    people,
    plans,
    product,
    setups,
)
from witnessmark.practice.weaknesses.story import Story

STORIES: tuple[Callable[[], Story], ...] = (
    night_row.NightRow,
    night_stops.NightStops,
    night_stops.NightEnds,
    night_stops.NightBarChange,
    people.WeekendOvertime,
    people.DoubleAllocation,
    people.LapsedQualification,
    setups.SetupUnrecorded,
    setups.FirstOffMissing,
    setups.ProducedBeforeRelease,
    setups.ReleaseBeforeEvidence,
    product.HalfHeld,
    product.NoReaction,
    product.RestartUnverified,
    product.LastOffMissing,
    checks.DueByQuantity,
    checks.DueByEvent,
    checks.CheckWhileStopped,
    checks.LateEntries,
    checks.OldLimits,
    checks.LineLeftOut,
    checks.GaugeOverdue,
    plans.Undelivered,
    plans.Rewritten,
    plans.UnexplainedTime,
    boards.GreenAgainstFigures,
    boards.RedWithoutAction,
    boards.StandingExplanation,
    boards.LettersThatSayNothing,
    boards.ClosedUnverified,
    boards.HandoverOneSided,
)
"""Every story of the practice plant, in the order in which they step in."""

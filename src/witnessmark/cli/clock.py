"""`witnessmark clock`: how far a clock stood from true time, by paired events."""

from datetime import UTC, datetime
from pathlib import Path

from witnessmark.cli.reading import AS_WRITTEN, Reading
from witnessmark.cli.stated import PLAIN, Figure, Output, between, state
from witnessmark.cli.values import Share
from witnessmark.errors import UnusableInputError
from witnessmark.stats.clock_offset import ClockFix, clock_offset


def run(
    file: Path,
    *,
    shown: str = "shown",
    true: str = "true",
    confidence: Share = 0.95,
    reading: Reading = AS_WRITTEN,
    output: Output = PLAIN,
) -> None:
    """Say how far a clock stood from true time, whether it drifted, and when it was set.

    Args:
        file: CSV, XLSX or Parquet with a header and a row for each event that two systems
            recorded. Times without an offset are taken as of one zone; where one clock alone
            changes to summer time, that shows as a step of an hour.
        shown: Column of the time that the clock in question showed.
        true: Column of the time by the reference clock.
        confidence: Two-sided confidence of the limits: 95% or 0.95.
        reading: How the file is read.
        output: How the result leaves the command.
    """
    study = reading.read(file)
    first, second = ([at for at in study.times(name) if at] for name in (shown, true))
    if len({at.tzinfo is None for at in (*first, *second)}) > 1:
        raise UnusableInputError.one(
            study.where, "some times have an offset from UTC and some have none.", "all or none"
        )
    found = clock_offset([*map(_seconds, first)], [*map(_seconds, second)], confidence)
    drift = found.drift_s_per_day
    figures: list[Figure] = [
        ("Pairs", found.n_pairs),
        ("Offset, s (shown less true)", found.offset_s),
        ("Limits, s", between(found.lower_s, found.upper_s)),
        ("Scatter of single pairs, s", found.residual_s),
        ("Drift, s a day", None if drift is None else f"{drift:.2f}"),
        ("Limits of the drift", drift and between(found.drift_lower, found.drift_upper)),
        *((f"Step after {_time(step.after_s)}, s", f"{step.size_s:+.0f}") for step in found.steps),
        *(("Enter in clocks", _fix(fix)) for fix in found.fixes),
    ]
    state(found, figures, output)


def _seconds(at: datetime) -> float:
    return (at if at.tzinfo is not None else at.replace(tzinfo=UTC)).timestamp()


def _time(seconds: float) -> str:
    return datetime.fromtimestamp(seconds, UTC).strftime("%Y-%m-%d %H:%M:%S")


def _fix(fix: ClockFix) -> str:
    drift = "" if fix.drift_s_per_day is None else f", drift_s_per_day {fix.drift_s_per_day:.2f}"
    return f"valid_from {_time(fix.valid_from_s)}, offset_s {fix.offset_s}{drift}"

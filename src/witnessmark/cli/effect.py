"""`witnessmark effect`: whether a countermeasure shows."""

import math
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from witnessmark.cli.reading import AS_WRITTEN, Reading
from witnessmark.cli.stated import PLAIN, Figure, Output, between, state
from witnessmark.cli.values import Share, pair
from witnessmark.errors import UnusableInputError, Where
from witnessmark.report.charts import About
from witnessmark.stats import require
from witnessmark.stats.before_after import (
    PHASES,
    BeforeAfter,
    Phase,
    before_after,
    before_after_periods,
)
from witnessmark.stats.clean_days import clean_days_needed
from witnessmark.stats.result import amount, chance
from witnessmark.stats.sister_machine import Count, SisterComparison, against_sister

DAYS = "days"


def run(
    before: str | None = None,
    after: str | None = None,
    *,
    sister: Annotated[tuple[str, str] | None, Parameter(negative="")] = None,
    unit: str = DAYS,
    a_day: float | None = None,
    periods: Path | None = None,
    red_days: Share | None = None,
    confidence: Share = 0.95,
    reading: Reading = AS_WRITTEN,
    output: Output = PLAIN,
) -> None:
    """Say whether events fell after a countermeasure, and how many further days would settle it.

    Args:
        before: Events and exposure before: 12/30, twelve events in thirty days. Leave out the
            period that set the action off.
        after: Events and exposure after the action took effect: 4/30.
        sister: The same two of a sister machine left alone: --sister 12/100 11/100.
        unit: What exposure is counted in.
        a_day: Exposure of one comparable day, where exposure is not counted in days.
        periods: A file instead, one row for each period, with the columns events, exposure, phase
            (before, trigger, after, left out).
        red_days: Share of red days before, alone: gives the clean days in a row that are needed.
        confidence: One-sided confidence of a verdict: 95% or 0.95.
        reading: How the file is read.
        output: How the result leaves the command.
    """
    given = [name for name, value in (("BEFORE", before), ("--periods", periods),
                                      ("--red-days", red_days)) if value is not None]  # fmt: skip
    if len(given) != 1 or (before is None) != (after is None):
        raise UnusableInputError.one(
            Where("effect"),
            f"{' and '.join(given) or 'nothing'} is given.",
            "BEFORE and AFTER such as 12/30 4/30, or --periods FILE, or --red-days 20% alone",
        )
    if red_days is not None:
        needed = clean_days_needed(red_days, confidence)
        state(needed, [("Clean days in a row needed", needed.days)], output)
    elif periods is not None:
        _compared(_from_file(periods, confidence, reading), unit, a_day, output)
    elif before is not None and after is not None:
        first, second = _count(before), _count(after)
        if sister is not None:
            _against_sister(first, second, sister, confidence, output)
        else:
            _compared(before_after(*first, *second, confidence), unit, a_day, output)


def _count(text: str) -> Count:
    events, exposure = pair(text, "events", "exposure")
    return require.count("events", events), exposure


def _from_file(file: Path, confidence: float, reading: Reading) -> BeforeAfter:
    study = reading.read(file)
    phases: list[Phase] = []
    for (row, _), text in zip(study.rows, study.texts("phase"), strict=True):
        known = next((phase for phase in PHASES if phase == text.lower()), None)
        if known is None:
            raise UnusableInputError.one(
                Where(study.where.file, study.where.sheet, row, "phase"),
                f'"{text}".',
                "one of " + ", ".join(PHASES),
            )
        phases.append(known)
    return before_after_periods(
        study.numbers("events"), study.numbers("exposure"), phases, confidence
    )


def _compared(found: BeforeAfter, unit: str, a_day: float | None, output: Output) -> None:
    per_day = 1.0 if unit == DAYS and a_day is None else a_day
    if per_day is not None:
        require.above("--a-day", per_day)
    figures: list[Figure] = [
        ("Before", f"{found.x_before:,} events in {amount(found.t_before)} {unit}"),
        ("After", f"{found.x_after:,} events in {amount(found.t_after)} {unit}"),
        ("Verdict", found.verdict),
        ("Rate after / before", found.ratio),
        ("Limits", between(found.lower, found.upper)),
        ("Chance of so few if nothing changed", chance(found.p_better).removeprefix("= ")),
    ]
    if found.verdict == "not yet demonstrable":
        figures += [
            ("Further, without an event", _further(found.further_if_clean, unit, per_day)),
            ("Further, as events come now", _further(found.further_as_now, unit, per_day)),
        ]
    state(found, figures, output, About(unit=unit))


def _further(exposure: float | None, unit: str, per_day: float | None) -> str:
    """Exposure still needed, in comparable days where it is known how much a day brings."""
    if exposure is None:
        return "none would settle it"
    needed = f"{amount(math.ceil(10 * exposure) / 10)} {unit}"
    if per_day is None:
        return needed
    days = f"{math.ceil(exposure / per_day):,.0f} comparable days"
    return days if unit == DAYS else f"{days} ({needed})"


def _against_sister(
    before: Count, after: Count, sister: tuple[str, str], confidence: float, output: Output
) -> None:
    found: SisterComparison = against_sister(
        before, after, _count(sister[0]), _count(sister[1]), confidence
    )
    figures: list[Figure] = [
        ("Verdict", found.verdict),
        ("Change against the sister's", found.ratio),
        ("Limits", between(found.lower, found.upper)),
        ("Chance of so few if both changed alike", chance(found.p_better).removeprefix("= ")),
    ]
    state(found, figures, output)

"""Figures to docs/bench.md: tables, ratios, and which expectations were met.

This module measures nothing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bench.machine import machine
from bench.measure import SHORT_S, Measured

SIX = (
    "check-interval-exceeded",
    "late-entry",
    "gauge-overdue",
    "reaction-missing",
    "last-off-late",
    "check-while-stopped",
)
FLOOR_TIMES = 6
FLOOR_S = 0.5
PANDAS_TIMES = 10
POLARS_TIMES = 3
MEMORY_MB = 2000
TENFOLD_TIMES = 11
TOLD_TABLES = 12
QUIET_LOAD = 4


@dataclass(frozen=True)
class Figures:
    """Everything that was measured, by record test where there are several."""

    scale: float
    small_scale: float
    rows: dict[str, int]
    runs: dict[str, Measured]
    at_tenth: dict[str, Measured]
    sensitivity: Measured | None
    six: dict[str, Measured]
    pandas: dict[str, Measured]
    polars: dict[str, Measured]
    floors: dict[str, Any]
    six_behind_s: float
    loads: tuple[float, float]
    repeats: int


def page(figures: Figures) -> str:
    """The whole page."""
    parts = [
        "# A plant-year, measured",
        "<!-- Written by `make bench`; do not edit. -->",
        f"Measured on: {machine()}",
        _how(figures),
        _plant(figures),
        "## The whole run",
        _whole(figures),
        "## Six tests against notebooks",
        NOTEBOOKS,
        _six(figures),
        "## Every test that found something to assess",
        _each(figures),
        "## The timeline by table",
        _timeline(figures),
        "## What was expected, and what came",
        _verdicts(figures),
    ]
    return "\n\n".join(parts) + "\n"


EACH = """Each as it came in the whole run, one after the other in one process. The scan floor
reads every column that the test's own plan reads, and does next to nothing with it."""

NOTEBOOKS = """The same six tests as a practitioner writes them in a pandas notebook and in lazy
Polars, over the same frozen Parquet (`bench/pandas_tests.py`, `bench/polars_tests.py`). All three
sides find the same number of exceptions; where they do not, the bench stops. The notebooks hold
for this invented plant only and give one number; a record test also proves its key unique, counts
what it cannot assess, groups by strata and shows its rows. It reads the timeline, which is made
once for all tests; the last line adds the derived tables behind these six to their sum."""


def _table(heads: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    lines = [heads, ["---", *["---:"] * (len(heads) - 1)], *rows]
    return "\n".join("| " + " | ".join(str(cell) for cell in line) + " |" for line in lines)


def _s(seconds: float) -> str:
    return f"{seconds:.2f}" if seconds < 100 else f"{seconds:.0f}"  # noqa: PLR2004 - digits worth reading


def _total(side: Mapping[str, Measured]) -> float:
    return sum(side[slug].seconds for slug in SIX)


def _how(figures: Figures) -> str:
    times = (
        "once" if figures.repeats == 1 else f"{figures.repeats} times, and the middle one counts"
    )
    low, high = figures.loads
    text = (
        "Every figure comes from a process of its own, over files that were read before (a warm "
        "page cache). Seconds leave out the start of Python and the opening of the freeze. What "
        f"takes less than {SHORT_S} seconds was measured {times}; the peak is the largest. "
        f"The load average stood between {low:.1f} and {high:.1f}."
    )
    if high > QUIET_LOAD:
        text += (
            " **The machine was shared with other work meanwhile**: seconds are larger than on a "
            "quiet one, all sides alike but not at the same moments. Read the ratios as rough."
        )
    return text


def _plant(figures: Figures) -> str:
    large = sorted(figures.rows.items(), key=lambda item: -item[1])
    told = ", ".join(f"{count:,} {name}" for name, count in large if count)
    return f"The invented plant at scale {figures.scale}: {told}."


def _whole(figures: Figures) -> str:
    names = {
        "intake": "intake: hash, read, type, check, freeze",
        "timeline": "timeline: every derived table",
        "whole": "all record tests, without sensitivity",
    }
    rows = []
    for side, text in names.items():
        large, small = figures.runs[side], figures.at_tenth[side]
        rows.append([text, _s(large.seconds), large.peak_mb, _s(small.seconds), small.peak_mb,
                     f"{large.seconds / small.seconds:.1f}"])  # fmt: skip
    heads = ["", "s", "peak MB", "s, a tenth of the rows", "peak MB", "times"]
    text = _table(heads, rows)
    if figures.sensitivity is not None:
        more = figures.sensitivity
        text += (
            f"\n\nSensitivity, stated apart and at a tenth of the rows: {_s(more.seconds)} s, "
            f"{more.peak_mb} MB at most, for every default tried with its one other value; most "
            "of it derives the timeline anew."
        )
    return text


def _six(figures: Figures) -> str:
    rows: list[list[object]] = []
    for slug in SIX:
        ours, pandas, polars = figures.six[slug], figures.pandas[slug], figures.polars[slug]
        rows.append([
            slug, f"{ours.result['exceptions']:,}",
            _s(ours.seconds), ours.peak_mb, _s(pandas.seconds), pandas.peak_mb,
            _s(polars.seconds), polars.peak_mb,
            f"{pandas.seconds / ours.seconds:.1f}", f"{polars.seconds / ours.seconds:.1f}",
        ])  # fmt: skip
    pandas_s, polars_s = _total(figures.pandas), _total(figures.polars)
    for text, ours_s in (
        ("sum", _total(figures.six)),
        ("sum, with the timeline behind them", _total(figures.six) + figures.six_behind_s),
    ):
        rows.append([
            text, "", _s(ours_s), "", _s(pandas_s), "", _s(polars_s), "",
            f"{pandas_s / ours_s:.1f}", f"{polars_s / ours_s:.1f}",
        ])  # fmt: skip
    heads = ["test", "exceptions", "s", "MB", "pandas s", "MB", "Polars s", "MB",
             "times pandas", "times Polars"]  # fmt: skip
    return _table(heads, rows)


def assessed(runs: Mapping[str, Measured]) -> dict[str, Any]:
    """What the whole run says of each test that found something to assess, by slug."""
    outcomes: dict[str, Any] = runs["whole"].result["outcomes"]  # type: ignore[assignment]  # results are plain JSON
    return {slug: one for slug, one in sorted(outcomes.items()) if one["status"] == "assessed"}


def _each(figures: Figures) -> str:
    rows = [
        [
            slug,
            f"{one['population']:,}",
            f"{one['exceptions']:,}",
            _s(one["seconds"]),
            _s(figures.floors[slug]),
            f"{one['seconds'] / figures.floors[slug]:.1f}",
        ]
        for slug, one in assessed(figures.runs).items()
    ]
    heads = ["test", "population", "exceptions", "s", "scan floor s", "times floor"]
    return EACH + "\n\n" + _table(heads, rows)


def _timeline(figures: Figures) -> str:
    tables = figures.runs["timeline"].result["tables"]
    seconds: dict[str, float] = tables  # type: ignore[assignment]  # results are plain JSON
    large = sorted(seconds.items(), key=lambda item: -item[1])
    rows = [[name, _s(value)] for name, value in large[:TOLD_TABLES]]
    rows.append(
        [f"the other {len(large) - TOLD_TABLES}", _s(sum(v for _, v in large[TOLD_TABLES:]))]
    )
    return _table(["derived table", "s"], rows)


def _verdicts(figures: Figures) -> str:
    ours_s = _total(figures.six)
    beyond = [
        slug
        for slug, one in assessed(figures.runs).items()
        if one["seconds"] > FLOOR_S and one["seconds"] > FLOOR_TIMES * figures.floors[slug]
    ]
    peaks = {name: one.peak_mb for name, one in figures.runs.items()}
    peaks["one test"] = max(one.peak_mb for one in figures.six.values())
    slowest = max(
        figures.runs[side].seconds / figures.at_tenth[side].seconds for side in figures.runs
    )
    pandas_times, polars_times = (
        _total(side) / ours_s for side in (figures.pandas, figures.polars)
    )
    rows = [
        [f"at least {PANDAS_TIMES} times faster than pandas per test on average",
         f"{pandas_times:.1f} times", _met(pandas_times >= PANDAS_TIMES)],
        [f"at least {POLARS_TIMES} times faster than Polars per test on average",
         f"{polars_times:.1f} times", _met(polars_times >= POLARS_TIMES)],
        [f"each test within {FLOOR_TIMES} times its scan or {FLOOR_S} s",
         f"beyond it: {', '.join(beyond) or 'none'}", _met(not beyond)],
        [f"peak memory under {MEMORY_MB} MB",
         ", ".join(f"{name} {peak}" for name, peak in peaks.items()),
         _met(max(peaks.values()) < MEMORY_MB)],
        [f"ten times the rows at most {TENFOLD_TIMES} times the time",
         f"at most {slowest:.1f} times", _met(slowest <= TENFOLD_TIMES)],
    ]  # fmt: skip
    return _table(["expected", "measured", "met"], rows)


def _met(holds: bool) -> str:
    return "yes" if holds else "no"

"""The bench: makes a plant-year, measures everything on it, writes docs/bench.md.

`make bench`, or `python -m bench --scale 0.01` for a try that writes no page.
"""

import argparse
import json
import sys
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path

from bench.measure import Measured, measure, once
from bench.page import SIX, Figures, page
from bench.plant_year import count_rows, write_plant_year

ROOT = Path(__file__).resolve().parent.parent
DATA = ROOT / "out" / "bench"
PAGE = ROOT / "docs" / "bench.md"
KEPT = DATA / "figures.json"
TENTH = 0.1
ONE_MACHINE = 0.01


def by_test(side: str, folder: Path, slugs: list[str]) -> dict[str, Measured]:
    """One side's measurements by record test."""
    return {slug: measure(side, folder, slug) for slug in slugs}


def demand_same_answers(figures: Figures) -> None:
    """Stops where the three sides differ: a bench of different answers is void."""
    for slug in SIX:
        answers = {
            name: side[slug].result["exceptions"]
            for name, side in (
                ("witnessmark", figures.tests),
                ("pandas", figures.pandas),
                ("polars", figures.polars),
            )
        }
        if len(set(answers.values())) > 1 or not answers["witnessmark"]:
            sys.exit(f"{slug}: not the same exceptions, or none at all: {answers}")


def folder_of(scale: float) -> Path:
    """The plant of a scale, made where it does not stand."""
    folder = DATA / str(scale)
    print(f"plant at scale {scale}", flush=True)
    write_plant_year(folder, scale)
    measure("prepare", folder)
    return folder


def whole_run(folder: Path) -> dict[str, Measured]:
    """What the linearity figure compares."""
    return {side: measure(side, folder) for side in ("intake", "timeline", "whole")}


def behind_six(folder: Path, timeline: Measured) -> float:
    """Seconds of the derived tables that the six tests need, each counted once."""
    names = once("behind", folder, *SIX)["tables"]
    seconds = timeline.result["tables"]
    if not isinstance(names, list) or not isinstance(seconds, Mapping):
        raise TypeError(names)
    return sum(float(seconds[name]) for name in names)


def measure_all(scale: float, small_scale: float, with_sensitivity: bool) -> Figures:
    """Everything, at one scale and at a tenth of it."""
    small = folder_of(small_scale)
    at_tenth = whole_run(small)
    varied = measure("sensitivity", small) if with_sensitivity else None
    folder = folder_of(scale)
    runs = whole_run(folder)
    outcomes = runs["whole"].result["outcomes"]
    if not isinstance(outcomes, Mapping):
        raise TypeError(outcomes)
    assessed = [slug for slug, one in outcomes.items() if one["status"] == "assessed"]
    freeze = next((folder / ".witnessmark").glob("*/manifest.json")).parent
    figures = Figures(
        scale=scale,
        small_scale=small_scale,
        rows=count_rows(folder),
        runs=runs,
        at_tenth=at_tenth,
        sensitivity=varied,
        tests=by_test("record_test", folder, assessed),
        floors=by_test("scan_floor", folder, assessed),
        pandas=by_test("pandas", freeze, list(SIX)),
        polars=by_test("polars", freeze, list(SIX)),
        six_behind_s=behind_six(folder, runs["timeline"]),
        passes={slug: measure("passes", folder, slug) for slug in SIX},
    )
    KEPT.write_text(json.dumps(asdict(figures), indent=1), encoding="utf-8")
    demand_same_answers(figures)
    return figures


def main() -> None:
    """Measures, prints the page, and writes it where the whole plant-year was measured."""
    parser = argparse.ArgumentParser(prog="bench", description="Measures a plant-year.")
    parser.add_argument("--scale", type=float, default=1.0, help="1.0 is a hundred machines")
    parser.add_argument(
        "--no-sensitivity", action="store_true", help="leave the sensitivity run out"
    )
    given = parser.parse_args()
    small = max(ONE_MACHINE, round(given.scale * TENTH, 4))
    text = page(measure_all(given.scale, small, not given.no_sensitivity))
    print(text)
    if given.scale >= 1:
        PAGE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()

"""The bench: makes a plant-year, measures everything on it, writes docs/bench.md.

`make bench`, or `python -m bench --scale 0.01` for a try that writes no page.
"""

import argparse
import sys
from collections.abc import Mapping
from pathlib import Path

from bench.measure import Log, Measured, once
from bench.page import SIX, Figures, assessed, page
from bench.plant_year import count_rows, write_plant_year

ROOT = Path(__file__).resolve().parent.parent
DATA = ROOT / "out" / "bench"
PAGE = ROOT / "docs" / "bench.md"
TENTH = 0.1
ONE_MACHINE = 0.01


def demand_same_answers(figures: Figures) -> None:
    """Stops where the three sides differ: a bench of different answers is void."""
    for slug in SIX:
        answers = {
            name: side[slug].result["exceptions"]
            for name, side in (
                ("witnessmark", figures.six),
                ("pandas", figures.pandas),
                ("polars", figures.polars),
            )
        }
        if len(set(answers.values())) > 1 or not answers["witnessmark"]:
            sys.exit(f"{slug}: not the same exceptions, or none at all: {answers}")


def plant_of(scale: float) -> Path:
    """The plant of a scale, made where it does not stand."""
    folder = DATA / str(scale)
    print(f"plant at scale {scale}", flush=True)
    write_plant_year(folder, scale)
    return folder


class Bench:
    """Everything, at one scale and at a tenth of it.

    Args:
        log: Where measurements are kept.
        scale: 1.0 is a hundred machines.
        small_scale: The tenth of it.
        repeats: How often a short measurement is made.
    """

    def __init__(self, log: Log, scale: float, small_scale: float, repeats: int) -> None:
        self.log = log
        self.repeats = repeats
        self.scale = scale
        self.small_scale = small_scale

    def figures(self, with_sensitivity: bool) -> Figures:
        """Measures it all, what later steps read first."""
        folder, small = plant_of(self.scale), plant_of(self.small_scale)
        runs = self._whole_run(folder)
        freeze = next((folder / ".witnessmark").glob("*/manifest.json")).parent
        return Figures(
            scale=self.scale,
            small_scale=self.small_scale,
            rows=count_rows(folder),
            runs=runs,
            six=self._six("record_test", folder),
            polars=self._six("polars", freeze),
            pandas=self._six("pandas", freeze),
            floors=self.log.measure("scan_floors", folder, *assessed(runs)).result,
            at_tenth=self._whole_run(small),
            six_behind_s=_behind_six(folder, runs["timeline"]),
            sensitivity=self.log.measure("sensitivity", small) if with_sensitivity else None,
            loads=self.log.loads(),
            repeats=self.repeats,
        )

    def _whole_run(self, folder: Path) -> dict[str, Measured]:
        """What the linearity figure compares; intake and timeline stay for what follows."""
        return {side: self.log.measure(side, folder) for side in ("intake", "timeline", "whole")}

    def _six(self, side: str, folder: Path) -> dict[str, Measured]:
        """One side's measurements of the six tests."""
        return {slug: self.log.measure(side, folder, slug) for slug in SIX}


def _behind_six(folder: Path, timeline: Measured) -> float:
    """Seconds of the derived tables that the six tests need, each counted once."""
    names = once("behind", folder, *SIX)["tables"]
    seconds = timeline.result["tables"]
    if not isinstance(names, list) or not isinstance(seconds, Mapping):
        raise TypeError(names)
    return sum(float(seconds[name]) for name in names)


def main() -> None:
    """Measures, prints the page, and writes it where the whole plant-year was measured."""
    parser = argparse.ArgumentParser(prog="bench", description="Measures a plant-year.")
    parser.add_argument("--scale", type=float, default=1.0, help="1.0 is a hundred machines")
    parser.add_argument(
        "--no-sensitivity", action="store_true", help="leave the sensitivity run out"
    )
    parser.add_argument("--go-on", action="store_true", help="keep what was measured before")
    parser.add_argument("--repeats", type=int, default=3, help="of a short measurement")
    parser.add_argument("--page", action="store_true", help="write the page at any scale")
    given = parser.parse_args()
    small = max(ONE_MACHINE, round(given.scale * TENTH, 4))
    DATA.mkdir(parents=True, exist_ok=True)
    log = Log(DATA / f"measured-{given.scale}.jsonl", given.go_on, given.repeats)
    figures = Bench(log, given.scale, small, given.repeats).figures(not given.no_sensitivity)
    demand_same_answers(figures)
    text = page(figures)
    print(text)
    if given.scale >= 1 or given.page:
        PAGE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()

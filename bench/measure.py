"""Runs measurements one after the other, each in a fresh process, and keeps their results.

This process imports nothing large: what a child is said to have held begins with what its parent
held when it was started.
"""

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from statistics import median

SHORT_S = 20
"""Measurements shorter than this are made three times, and the one in the middle counts."""


@dataclass(frozen=True)
class Measured:
    """A measurement: the middle one of its repeats by seconds, with the largest peak of all."""

    seconds: float
    peak_mb: int
    result: dict[str, object]
    repeats: int


def once(side: str, folder: Path, *arguments: str) -> dict[str, object]:
    """One measurement in a fresh process.

    Raises:
        CalledProcessError: It failed; its own message stands above.
    """
    command = [sys.executable, "-m", "bench.child", side, str(folder), *arguments]
    done = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True)
    result: dict[str, object] = json.loads(done.stdout.splitlines()[-1])
    return result


def measure(side: str, folder: Path, *arguments: str) -> Measured:
    """A measurement, three times where it is short."""
    results = [once(side, folder, *arguments)]
    while len(results) < 3 and _seconds(results[0]) < SHORT_S:  # noqa: PLR2004
        results.append(once(side, folder, *arguments))
    middle = median_of(results)
    peak = max(int(str(result["peak_mb"])) for result in results)
    found = Measured(_seconds(middle), peak, middle, len(results))
    print(f"{found.seconds:9.2f} s {peak:6} MB  {side} {' '.join(arguments)}", flush=True)
    return found


def median_of(results: list[dict[str, object]]) -> dict[str, object]:
    """The result with the middle seconds."""
    middle = median(_seconds(result) for result in results)
    return next(result for result in results if _seconds(result) == middle)


def _seconds(result: dict[str, object]) -> float:
    return float(str(result["seconds"]))

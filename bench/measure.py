"""Runs measurements one after the other, each in a fresh process, and keeps their results.

This process imports nothing large: what a child is said to have held begins with what its parent
held when it was started.
"""

import json
import os
import subprocess
import sys
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import median

SHORT_S = 20
"""Measurements shorter than this are repeated, and the one in the middle counts."""


@dataclass(frozen=True)
class Measured:
    """A measurement: the middle one of its repeats by seconds, with the largest peak of all.

    `load` is the machine's load average at its end, whoever caused it.
    """

    seconds: float
    peak_mb: int
    result: dict[str, object]
    repeats: int
    load: float


def once(side: str, folder: Path, *arguments: str) -> dict[str, object]:
    """One measurement in a fresh process.

    Raises:
        CalledProcessError: It failed; its own message stands above.
    """
    command = [sys.executable, "-m", "bench.child", side, str(folder), *arguments]
    done = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True)
    result: dict[str, object] = json.loads(done.stdout.splitlines()[-1])
    return result


class Log:
    """Measurements, kept in a file as they come, so that a bench that was stopped can go on.

    Args:
        path: The file.
        goes_on: Whether what stands in it counts; else it is begun anew.
        repeats: How often a short measurement is made.
    """

    def __init__(self, path: Path, goes_on: bool, repeats: int) -> None:
        self._path = path
        self._repeats = repeats
        self._known: dict[str, Measured] = {}
        if goes_on and path.exists():
            for line in path.read_text("utf-8").splitlines():
                entry = json.loads(line)
                name = entry.pop("name")
                self._known[name] = Measured(**entry)
        else:
            path.unlink(missing_ok=True)

    def measure(self, side: str, folder: Path, *arguments: str) -> Measured:
        """A measurement, repeated where it is short."""
        name = " ".join([side, str(folder), *arguments])
        if name not in self._known:
            found = measure(side, folder, self._repeats, *arguments)
            self._known[name] = found
            self._path.parent.mkdir(parents=True, exist_ok=True)
            with self._path.open("a", encoding="utf-8") as file:
                file.write(json.dumps({"name": name, **asdict(found)}) + "\n")
        return self._known[name]

    def loads(self) -> tuple[float, float]:
        """The least and the greatest load average at the end of a measurement."""
        found = [measured.load for measured in self._known.values()]
        return min(found), max(found)


def measure(side: str, folder: Path, repeats: int, *arguments: str) -> Measured:
    """A measurement in the middle of its repeats; one that is long is made once."""
    results = [once(side, folder, *arguments)]
    while len(results) < repeats and 0 < _seconds(results[0]) < SHORT_S:
        results.append(once(side, folder, *arguments))
    middle = median_of(results)
    peak = max(int(str(result["peak_mb"])) for result in results)
    found = Measured(_seconds(middle), peak, middle, len(results), os.getloadavg()[0])
    print(f"{found.seconds:9.2f} s {peak:6} MB  {side} {' '.join(arguments)}", flush=True)
    return found


def median_of(results: list[dict[str, object]]) -> dict[str, object]:
    """The result with the middle seconds."""
    middle = median(_seconds(result) for result in results)
    return next(result for result in results if _seconds(result) == middle)


def _seconds(result: dict[str, object]) -> float:
    return float(str(result["seconds"]))

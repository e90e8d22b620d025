"""Machines and attendants played through event by event, for what no formula covers.

Any run and service times, machines that differ, machines that go first.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray
from scipy.stats import t as student

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import counted, percent

Draw = Callable[[np.random.Generator, int], Numbers]
BLOCK = 256
BATCHES = 20


@dataclass(frozen=True)
class Simulated:
    """A mean found by simulation, with the limits of its own chance.

    Args:
        value: Mean over the batches; None where nothing was seen to average.
        lower: Lower limit.
        upper: Upper limit.
    """

    value: float | None
    lower: float | None
    upper: float | None


@dataclass(frozen=True)
class SimulatedInterference:
    """What happened to simulated machines that share their attendants.

    Args:
        machines: Number of machines.
        persons: Number of attendants.
        stops: Stops that were looked at, after the warm-up.
        running: Mean number of machines running.
        waiting: Mean number stopped with nobody at them.
        utilisation: Share of their time that the attendants serve stops.
        mean_wait: Mean time from a stop until somebody is there.
        p_wait: Share of stops that wait at all.
        waiting_share: Share of the stopped time in which nobody is there.
        wait_by_machine: Mean wait of each machine; None where it never stopped.
        confidence: Two-sided confidence of the limits.
        method: How it was found.
        assumptions: What must hold.
    """

    machines: int
    persons: int
    stops: int
    running: Simulated
    waiting: Simulated
    utilisation: Simulated
    mean_wait: Simulated
    p_wait: Simulated
    waiting_share: Simulated
    wait_by_machine: tuple[float | None, ...]
    confidence: float
    method: str
    assumptions: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The outcome in words."""
        running, wait = self.running, self.mean_wait
        start = (
            f"In a simulation of {counted(self.machines, 'machine')} with "
            f"{counted(self.persons, 'person', 'persons')}"
        )
        if running.value is None or wait.value is None:
            return f"{start} no machine stopped; nothing can be said of waiting."
        limits = (
            ""
            if wait.lower is None
            else f" ({wait.lower:.2f} to {wait.upper:.2f} with {percent(self.confidence)} "
            "confidence, the chance of the simulation only)"
        )
        share = "" if self.machines == 0 else f" ({percent(running.value / self.machines)} each)"
        return (
            f"{start}, {running.value:.2f} ran on average{share} and the {self.stops:,} stops "
            f"waited {wait.value:.2f} min on average{limits}. It shows what the given times would "
            "lead to, not what happened on the floor."
        )


def simulated_interference(
    runs: Sequence[Draw],
    services: Sequence[Draw],
    persons: int,
    duration: float,
    generator: np.random.Generator,
    *,
    warm_up: float = 0.0,
    priorities: Sequence[float] | None = None,
    confidence: float = 0.95,
) -> SimulatedInterference:
    """Answers how long machines wait where run and service times are of any kind.

    Every machine runs, stops, waits for a free person, is served and runs on. A person who comes
    free goes to the waiting machine of the lowest priority number, among these to the one that
    stopped first; work begun is finished.

    Args:
        runs: For each machine, what draws its running times: (generator, size) -> times.
        services: For each machine, what draws its service times.
        persons: Number of persons who share all machines.
        duration: How long to simulate, warm-up included.
        generator: Source of chance.
        warm_up: Time at the start that is not looked at (all machines begin running).
        priorities: For each machine a number, lower goes first; None: all equal.
        confidence: Two-sided confidence of the limits.

    Returns:
        Means with limits from 20 batches of equal length (None where a batch saw no stop).

    Raises:
        UnfitNumbersError: No machine, rows of different length, a time that is not positive where
            it must be, negative or missing draws, or a warm-up that fills the duration.

    Shapes:
        runs, services, priorities: (n_machines,).

    Units:
        All times in one unit, minutes in the sentence; shares 0..1.

    Assumes:
        Draws are independent; a batch is long against the time from stop to stop, so that the
        batches are nearly independent.

    Source:
        Law and Kelton, Simulation Modeling and Analysis, 3rd ed. 2000, section 9.5.3 (batch
        means) (memory).

    Examples:
        >>> run = lambda generator, size: generator.exponential(30, size)
        >>> service = lambda generator, size: np.full(size, 5.0)
        >>> found = simulated_interference([run] * 6, [service] * 6, 1, 50_000,
        ...                                np.random.default_rng(7), warm_up=500)
        >>> round(found.utilisation.value, 2)
        0.77
    """
    machines = len(runs)
    ranks = tuple(0.0 for _ in runs) if priorities is None else tuple(priorities)
    require.same_length(runs=runs, services=services, priorities=ranks)
    require.count("number of machines", machines, 1)
    persons = require.count("persons", persons, 1)
    require.above("duration", duration)
    require.share("confidence", confidence)
    if not 0 <= warm_up < duration:
        raise UnfitNumbersError(f"warm_up = {warm_up}", "0 or more and less than the duration")
    stopped = _played(
        [_Stream(f"runs[{i}]", draw, generator) for i, draw in enumerate(runs)],
        [_Stream(f"services[{i}]", draw, generator) for i, draw in enumerate(services)],
        ranks,
        persons,
        duration,
    )
    return _summary(stopped, machines, persons, (warm_up, duration), confidence, priorities)


class _Stream:
    """Draws in blocks, which is what makes single draws cheap."""

    def __init__(self, name: str, draw: Draw, generator: np.random.Generator) -> None:
        self._name, self._draw, self._generator = name, draw, generator
        self._left: list[float] = []

    def next(self) -> float:
        if not self._left:
            block = require.numbers(self._name, self._draw(self._generator, BLOCK), BLOCK)
            if block.min() < 0 or block.max() <= 0:
                raise UnfitNumbersError(f"{self._name} draws {block.min():g}", "positive times")
            self._left = block.tolist()
        return self._left.pop()


def _played(
    runs: Sequence[_Stream],
    services: Sequence[_Stream],
    ranks: Sequence[float],
    persons: int,
    duration: float,
) -> Numbers:
    """One row per stop: machine, when it stopped, when somebody came, when it ran again."""
    stops: list[tuple[float, int]] = []
    for machine, run in enumerate(runs):
        heappush(stops, (run.next(), machine))
    ends: list[float] = []
    queue: list[tuple[float, float, int]] = []
    rows: list[tuple[int, float, float, float]] = []
    free = persons

    def serve(machine: int, since: float, now: float) -> None:
        end = now + services[machine].next()
        rows.append((machine, since, now, end))
        heappush(ends, end)
        heappush(stops, (end + runs[machine].next(), machine))

    while True:
        next_stop = stops[0][0] if stops else np.inf
        next_end = ends[0] if ends else np.inf
        now = min(next_stop, next_end)
        if now > duration:
            break
        if next_end <= next_stop:
            heappop(ends)
            if queue:
                _, since, machine = heappop(queue)
                serve(machine, since, now)
            else:
                free += 1
        else:
            _, machine = heappop(stops)
            if free:
                free -= 1
                serve(machine, now, now)
            else:
                heappush(queue, (ranks[machine], now, machine))
    # Machines still waiting at the end have waited until then.
    rows += [(machine, since, np.inf, np.inf) for _, since, machine in queue]
    return np.array(rows, dtype=float).reshape(-1, 4)


def _summary(
    stopped: Numbers,
    machines: int,
    persons: int,
    span: tuple[float, float],
    confidence: float,
    priorities: Sequence[float] | None,
) -> SimulatedInterference:
    machine, since, served, end = stopped.T
    edges = np.linspace(*span, BATCHES + 1)
    length = edges[1] - edges[0]
    waiting = _mean_number(edges, since, served)
    serving = _mean_number(edges, served, end)
    seen = (since >= span[0]) & np.isfinite(served)
    waits = (served - since)[seen]
    batch = np.minimum(((since[seen] - span[0]) // length).astype(int), BATCHES - 1)
    stops = _sums(batch, np.ones(len(waits)))
    waited = _sums(batch, waits)
    delayed = _sums(batch, (waits > 0).astype(float))
    one = np.full(BATCHES, 1.0)
    own = [waits[machine[seen] == i] for i in range(machines)]
    return SimulatedInterference(
        machines=machines,
        persons=persons,
        stops=int(seen.sum()),
        running=_ratio(machines - waiting - serving, one, confidence),
        waiting=_ratio(waiting, one, confidence),
        utilisation=_ratio(serving / persons, one, confidence),
        mean_wait=_ratio(waited, stops, confidence),
        p_wait=_ratio(delayed, stops, confidence),
        waiting_share=_ratio(waiting, waiting + serving, confidence),
        wait_by_machine=tuple(float(np.mean(mine)) if len(mine) else None for mine in own),
        confidence=confidence,
        method=f"discrete-event simulation, {BATCHES} batch means",
        assumptions=(
            "Run and service times are drawn independently from the given distributions.",
            (
                f"The first {span[0]:g} of {span[1]:g} time units are not looked at; limits take "
                f"the {BATCHES} batches of {length:g} as independent."
            ),
            "The person goes to the machine that stopped first"
            + ("." if priorities is None else " among those of the lowest priority number."),
        ),
    )


def _mean_number(edges: Numbers, start: Numbers, end: Numbers) -> Numbers:
    """Mean number of stretches [start, end] that are open, in each batch between two edges."""
    until = np.array(
        [np.sum(np.minimum(end, edge) - np.minimum(start, edge)) for edge in edges], dtype=float
    )
    return np.asarray(np.diff(until) / np.diff(edges), dtype=float)


def _sums(batch: NDArray[np.int_], values: Numbers) -> Numbers:
    return np.asarray(np.bincount(batch, weights=values, minlength=BATCHES), dtype=float)


def _ratio(above: Numbers, below: Numbers, confidence: float) -> Simulated:
    """Ratio of sums over batches; limits from the spread of the batches about it."""
    total = below.sum()
    if total == 0:
        return Simulated(None, None, None)
    value = float(above.sum() / total)
    if np.any(below == 0):
        return Simulated(value, None, None)
    rest = (above - value * below) / below.mean()
    error = float(np.std(rest, ddof=1) / np.sqrt(len(rest)))
    half = float(student.ppf((1 + confidence) / 2, len(rest) - 1)) * error
    return Simulated(value, value - half, value + half)

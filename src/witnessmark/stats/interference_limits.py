"""How many machines may share their attendants, and how long a stop may wait: limits on waiting.

The queue itself is in `interference`.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.special import gammaincc

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.interference import (
    MachineInterference,
    finite_source_queue,
    state_shares,
)
from witnessmark.stats.result import counted, percent

MOST_LOOKED_AT = 500


@dataclass(frozen=True)
class MostMachines:
    """The largest number of machines within a limit on waiting or running.

    Args:
        machines: The number; 0 where even one machine is outside the limit.
        at: The queue with that number; None where it is 0.
        one_more: The queue with one machine more.
        limit: The limit in words.
        method: How it was found.
        assumptions: What must hold.
    """

    machines: int
    at: MachineInterference | None
    one_more: MachineInterference
    limit: str
    method: str
    assumptions: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The number in words."""
        more = self.one_more
        return (
            f"With {self.limit}, {counted(more.persons, 'person', 'persons')} can answer the stops "
            f"of {counted(self.machines, 'machine')}; with {more.machines} the mean wait is "
            f"{more.mean_wait:.1f} min and a machine runs {percent(more.efficiency)} of the time. "
            "Patrol checks and other work are not in this number and lower it."
        )


def share_waiting_longer(
    machines: int, mean_run: float, mean_service: float, persons: int, longer_than: float
) -> float:
    """Answers which share of the stops wait longer than a time until somebody is there.

    A stop that finds n >= c machines stopped waits for n - c + 1 ends of service, each after
    mean_service / c on average.

    Args:
        machines: Number of machines, at least 1.
        mean_run: Mean running time between stops.
        mean_service: Mean time a person is bound by a stop.
        persons: Number of persons.
        longer_than: The time; 0 gives the share of stops that wait at all.

    Returns:
        The share.

    Raises:
        UnfitNumbersError: As `finite_source_queue`, or a negative time.

    Shapes:
        Single numbers.

    Units:
        All times in the same unit; share 0..1.

    Assumes:
        As `finite_source_queue`; the first to stop is served first.

    Source:
        Gross and Harris, Fundamentals of Queueing Theory, 2nd ed. 1985, section 2.7 (memory).

    Examples:
        >>> round(share_waiting_longer(6, 30, 5, 1, longer_than=15), 3)
        0.123
    """
    require.count("machines", machines, 1)
    require.count("persons", persons, 1)
    require.above("mean_run", mean_run)
    require.above("mean_service", mean_service)
    if not (np.isfinite(longer_than) and longer_than >= 0):
        raise UnfitNumbersError(f"longer_than = {longer_than}", "a time of at least 0")
    seen = state_shares(machines - 1, mean_service / mean_run, persons)
    ahead = np.arange(persons, machines)
    ends = gammaincc(ahead - persons + 1, persons * longer_than / mean_service)
    return float(seen[persons:] @ ends)


def wait_not_exceeded(
    machines: int, mean_run: float, mean_service: float, persons: int, share: float = 0.95
) -> float:
    """Answers within what time after a stop somebody is there in a given share of cases.

    Args:
        machines: Number of machines, at least 1.
        mean_run: Mean running time between stops.
        mean_service: Mean time a person is bound by a stop.
        persons: Number of persons.
        share: The share of stops answered within that time.

    Returns:
        The time; 0 where at least that share of stops does not wait at all.

    Raises:
        UnfitNumbersError: As `share_waiting_longer`, or a share outside (0, 1).

    Shapes:
        Single numbers.

    Units:
        Time in the unit of the means.

    Assumes:
        As `finite_source_queue`.

    Source:
        The quantile of `share_waiting_longer`.

    Examples:
        >>> round(wait_not_exceeded(6, 30, 5, 1), 1)
        22.1
    """
    require.share("share", share)

    def excess(time: float) -> float:
        return share_waiting_longer(machines, mean_run, mean_service, persons, time) - (1 - share)

    if excess(0.0) <= 0:
        return 0.0
    longest = mean_service
    while excess(longest) > 0:
        longest *= 2
    return float(brentq(excess, 0.0, longest, xtol=1e-9 * mean_service))


def most_machines(
    mean_run: float,
    mean_service: float,
    persons: int = 1,
    *,
    longest_mean_wait: float | None = None,
    least_efficiency: float | None = None,
) -> MostMachines:
    """Answers how many machines the persons can answer within a limit on waiting or on running.

    Args:
        mean_run: Mean running time between stops.
        mean_service: Mean time a person is bound by a stop.
        persons: Number of persons.
        longest_mean_wait: Largest mean wait accepted.
        least_efficiency: Smallest share of time a machine must run.

    Returns:
        The largest number for which every limit given holds.

    Raises:
        UnfitNumbersError: No limit given, a limit that no number of machines breaks (up to 500),
            or as `finite_source_queue`.

    Shapes:
        Single numbers.

    Units:
        Times in one unit; shares 0..1.

    Assumes:
        As `finite_source_queue`.

    Source:
        `finite_source_queue` for 1, 2, 3, .. machines; waiting grows with each.

    Examples:
        >>> most_machines(30, 5, longest_mean_wait=5).machines
        5
    """
    limits: list[tuple[str, Callable[[MachineInterference], bool]]] = []
    if longest_mean_wait is not None:
        wait = longest_mean_wait
        limits.append((f"a mean wait of at most {wait:g} min", lambda at: at.mean_wait <= wait))
    if least_efficiency is not None:
        least = require.share("least_efficiency", least_efficiency)
        limits.append(
            (
                f"machines running at least {percent(least)} of the time",
                lambda at: at.efficiency >= least,
            )
        )
    if not limits:
        raise UnfitNumbersError("no limit", "longest_mean_wait or least_efficiency")
    within = None
    for machines in range(1, MOST_LOOKED_AT + 1):
        at = finite_source_queue(machines, mean_run, mean_service, persons)
        if not all(holds(at) for _, holds in limits):
            return MostMachines(
                machines=machines - 1,
                at=within,
                one_more=at,
                limit=" and ".join(words for words, _ in limits),
                method=at.method,
                assumptions=at.assumptions,
            )
        within = at
    raise UnfitNumbersError(
        f"{MOST_LOOKED_AT} machines are still within the limit", "a limit that can be reached"
    )

"""Machines that wait for one another's attendant: the finite-source queue in closed form.

Limits on waiting are in `interference_limits`, what has no closed form in
`interference_simulation`, the load without chance in `tending`.
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import logsumexp

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.require import Numbers
from witnessmark.stats.result import counted, percent


@dataclass(frozen=True)
class MachineInterference:
    """What happens, in the long run, to machines that share their attendants.

    Args:
        machines: Number of machines.
        persons: Number of attendants, each free for any machine.
        mean_run: Mean running time between stops of one machine.
        mean_service: Mean time an attendant needs for a stop.
        stopped: Mean number of machines stopped, waiting or in service.
        waiting: Mean number stopped with nobody at them.
        running: Mean number running.
        stops_per_time: Stops of all machines per unit of time.
        mean_wait: Mean time from a stop until somebody is there.
        mean_stop: Mean time from a stop until the machine runs again.
        utilisation: Share of their time that the attendants serve stops.
        efficiency: Share of its time that a machine runs.
        efficiency_alone: The same for a machine with its own attendant.
        efficiency_factor: Mean share of machines not waiting (running or in service).
        waiting_share: Share of the time of a stopped machine in which nobody is at it; None where
            no machine is ever stopped.
        p_wait: Share of stops that find every attendant busy; None where the method gives none.
        states: Share of time with 0, 1, .. machines stopped; None where the method gives none.
        method: How it was found.
        assumptions: What must hold.
    """

    machines: int
    persons: int
    mean_run: float
    mean_service: float
    stopped: float
    waiting: float
    running: float
    stops_per_time: float
    mean_wait: float
    mean_stop: float
    utilisation: float
    efficiency: float
    efficiency_alone: float
    efficiency_factor: float
    waiting_share: float | None
    p_wait: float | None
    states: tuple[float, ...] | None
    method: str
    assumptions: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The queue in words."""
        wait = (
            ""
            if self.p_wait is None
            else f", and {percent(self.p_wait)} of the stops find nobody free"
        )
        return (
            f"{counted(self.machines, 'machine')} that stop every {self.mean_run:g} min of running "
            f"for {self.mean_service:g} min of work, with "
            f"{counted(self.persons, 'person', 'persons')}: a machine runs "
            f"{percent(self.efficiency)} of the time ({percent(self.efficiency_alone)} with a "
            f"person of its own), a stop waits {self.mean_wait:.1f} min on average{wait}; stops "
            f"alone bind {percent(self.utilisation)} of the persons' time. The waiting costs "
            "output; it says nothing of checks on machines that run."
        )


def finite_source_queue(
    machines: int, mean_run: float, mean_service: float, persons: int = 1
) -> MachineInterference:
    """Answers how long stopped machines wait when they share their attendants.

    The machine repair model: with n machines stopped, stops come at (N - n) / mean_run and are
    served at min(n, c) / mean_service; the shares of time in each state follow by balance.

    Args:
        machines: Number of machines N. 0 gives nothing stopped and nothing running.
        mean_run: Mean running time of one machine between stops, waiting not counted.
        mean_service: Mean time a person is bound by a stop.
        persons: Number of persons c who share all machines.

    Returns:
        State probabilities, waits, running and utilisation.

    Raises:
        UnfitNumbersError: A number is missing or not positive, or not whole where counted.

    Shapes:
        Single numbers; `states` has N + 1 values.

    Units:
        Both times in the same unit, minutes in the sentence; waits in that unit; shares 0..1.

    Assumes:
        Run and service times vary as the exponential distribution does; machines are alike and
        independent; the first to stop is served first; nothing else binds the persons.

    Source:
        Palm, Industritidningen Norden 75 (1947); Feller, An Introduction to Probability Theory
        and Its Applications, vol. 1, 3rd ed. 1968, XVII.7.

    Examples:
        >>> found = finite_source_queue(6, mean_run=30, mean_service=5)
        >>> round(found.utilisation, 2), round(found.mean_wait, 1), round(found.efficiency, 2)
        (0.74, 5.8, 0.74)
    """
    machines, persons = require.count("machines", machines), require.count("persons", persons, 1)
    run, service = require.above("mean_run", mean_run), require.above("mean_service", mean_service)
    states = state_shares(machines, service / run, persons)
    n = np.arange(machines + 1)
    waiting = float(states @ np.maximum(n - persons, 0))
    running = float(states @ (machines - n))
    seen = state_shares(max(machines - 1, 0), service / run, persons)
    return _interference(
        (machines, run, service, persons),
        running=running,
        waiting=waiting,
        p_wait=float(seen[persons:].sum()),
        states=tuple(states.tolist()),
        method="finite-source queue in closed form (exponential run and service times)",
        spread="Run and service times vary as the exponential distribution does.",
    )


def gamma_service_queue(
    machines: int, mean_run: float, mean_service: float, service_cv: float = 0.0
) -> MachineInterference:
    """Answers how long stopped machines wait for one person whose service times vary less or more.

    Running machines = N S / (1 + N r S), r = mean_service / mean_run,
    S = sum over j = 0..N-1 of C(N-1, j) x product over i = 1..j of (1 / f(i) - 1), f(i) the
    Laplace transform of the service time at i / mean_run. Constant service (cv 0) gives the
    numbers of Ashcroft, cv 1 the exponential case.

    Args:
        machines: Number of machines N, at least 1.
        mean_run: Mean running time of one machine between stops.
        mean_service: Mean time the person is bound by a stop.
        service_cv: Standard deviation / mean of the service time (gamma distribution).

    Returns:
        As `finite_source_queue`, without `states` and `p_wait`, which this method does not give.

    Raises:
        UnfitNumbersError: A number is missing or not positive, or the cv negative.

    Shapes:
        Single numbers.

    Units:
        Both times in the same unit; shares 0..1.

    Assumes:
        One person; stops come at random while a machine runs; service times are independent.

    Source:
        Ashcroft, J. Roy. Statist. Soc. B 12 (1950) 145-151 (constant service); Takacs,
        Introduction to the Theory of Queues, 1962, chapter 5 (general service) (memory).

    Examples:
        >>> round(gamma_service_queue(6, mean_run=50, mean_service=5).running, 4)
        5.2779
        >>> exponential = finite_source_queue(6, 50, 5).running
        >>> bool(abs(gamma_service_queue(6, 50, 5, service_cv=1).running - exponential) < 1e-9)
        True
    """
    machines = require.count("machines", machines, 1)
    run, service = require.above("mean_run", mean_run), require.above("mean_service", mean_service)
    if not (np.isfinite(service_cv) and service_cv >= 0):
        raise UnfitNumbersError(f"service_cv = {service_cv}", "a number of at least 0")
    i = np.arange(1, machines)
    ratio = service / run
    # log(1 / f(i)), which is i r for a constant time.
    spread = service_cv**2
    log_inverse = i * ratio if spread == 0 else np.log1p(i * ratio * spread) / spread
    # log(exp(z) - 1), written so that a large z does not overflow.
    steps = log_inverse + np.log(-np.expm1(-log_inverse)) + np.log((machines - i) / i)
    log_served = logsumexp(np.concatenate([[0.0], np.cumsum(steps)]))
    running = machines / (np.exp(-log_served) + machines * ratio)
    return _interference(
        (machines, run, service, 1),
        running=float(running),
        # Rounding leaves a trace below zero for a single machine.
        waiting=max(0.0, float(machines - running * (1 + ratio))),
        p_wait=None,
        states=None,
        method=f"one person, gamma service times with cv {service_cv:g} (Ashcroft, Takacs)",
        spread=(
            "Run times vary as the exponential distribution does; service times "
            + (f"have a cv of {service_cv:g}." if service_cv else "are all the same.")
        ),
    )


def state_shares(machines: int, ratio: float, persons: int) -> Numbers:
    """Gives the shares of time with 0, 1, .. machines stopped.

    Shares are made from sums of logarithms, so that hundreds of machines stay exact.

    Args:
        machines: Number of machines, 0 or more.
        ratio: Mean service time / mean run time.
        persons: Number of persons, at least 1.

    Returns:
        Shares that add up to 1. A machine that stops finds the others as they are in the long
        run with one machine less (Sevcik and Mitrani 1981, arrival theorem).

    Shapes:
        (machines + 1,)

    Units:
        Shares 0..1.

    Source:
        Feller, vol. 1, 3rd ed. 1968, XVII.7, equations 7.4 and 7.8 (memory).

    Examples:
        >>> state_shares(1, 0.25, 1).round(3).tolist()
        [0.8, 0.2]
    """
    n = np.arange(1, machines + 1)
    steps = np.log((machines - n + 1) * ratio / np.minimum(n, persons))
    logs = np.concatenate([[0.0], np.cumsum(steps)])
    return np.asarray(np.exp(logs - logsumexp(logs)), dtype=float)


def _interference(
    given: tuple[int, float, float, int],
    *,
    running: float,
    waiting: float,
    p_wait: float | None,
    states: tuple[float, ...] | None,
    method: str,
    spread: str,
) -> MachineInterference:
    machines, run, service, persons = given
    stops = running / run
    alone = run / (run + service)
    in_service = stops * service
    stopped = waiting + in_service
    found = MachineInterference(
        machines=machines,
        persons=persons,
        mean_run=run,
        mean_service=service,
        stopped=stopped,
        waiting=waiting,
        running=running,
        stops_per_time=stops,
        mean_wait=0.0,
        mean_stop=service,
        utilisation=in_service / persons,
        efficiency=alone,
        efficiency_alone=alone,
        efficiency_factor=1.0,
        waiting_share=None,
        p_wait=p_wait,
        states=states,
        method=method,
        assumptions=(
            spread,
            "Machines are alike and independent; the stops are answered in their order.",
            "Nothing else binds the persons: patrol checks, bins and walking come on top.",
        ),
    )
    if machines == 0:
        return found
    return replace(
        found,
        mean_wait=waiting / stops,
        mean_stop=waiting / stops + service,
        efficiency=running / machines,
        efficiency_factor=1 - waiting / machines,
        waiting_share=waiting / stopped,
    )

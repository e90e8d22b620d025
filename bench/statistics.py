"""The bench of the statistics: whole arrays against the direct loop; writes a page of ratios.

`python -m bench.statistics`, called by `make bench`. Each pair gives the same numbers, which is
checked before a ratio is written. A loop that would take minutes is run on a part and scaled up.
"""

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.linalg import null_space
from scipy.stats import binomtest, hypergeom

from bench.machine import machine
from witnessmark.stats.clusters import cluster_bootstrap
from witnessmark.stats.finite_lot import lot_limits
from witnessmark.stats.interference import finite_source_queue
from witnessmark.stats.proportion import exact_bounds
from witnessmark.stats.rule_run_lengths import rules_run_length
from witnessmark.stats.run_lengths import cusum_run_length
from witnessmark.stats.run_rules import WESTERN_ELECTRIC, signals
from witnessmark.stats.selection import draw_sample

PAGE = Path(__file__).resolve().parent.parent / "docs" / "bench_statistics.md"
STRATA, LOOPED = 1_000_000, 2_000
REPEATS = 3
HEAD = """# Speed of the statistics

Written by `make bench`; measured, never asserted in a test. "Here" is one call of this package;
"loop" is what a script would do with scipy or numpy alone. Both give the same numbers to the digits
stated, or the bench stops. Seconds are the middle of {repeats} runs on {machine}

| what | here | loop | ratio | how the loop was measured |
|---|---:|---:|---:|---|
"""


@dataclass(frozen=True)
class Pair:
    """One line of the page.

    Args:
        what: What is computed.
        here: This package.
        loop: The direct way.
        same: How both results are compared; raises where they differ.
        times: By how much the loop's part is scaled up.
        how: What the loop does.
    """

    what: str
    here: Callable[[], object]
    loop: Callable[[], object]
    same: Callable[[object, object], None]
    times: float
    how: str


def close(rel: float) -> Callable[[object, object], None]:
    """Compares two arrays or numbers."""

    def compare(one: object, other: object) -> None:
        np.testing.assert_allclose(np.asarray(one), np.asarray(other), rtol=rel, atol=1e-12)

    return compare


def seconds(work: Callable[[], object]) -> tuple[float, object]:
    """The middle of some runs, and the last result."""
    found, result = [], None
    for _ in range(REPEATS):
        start = time.perf_counter()
        result = work()
        found.append(time.perf_counter() - start)
    return statistics.median(found), result


def million_strata() -> Pair:
    """Exact limits of very many strata."""
    generator = np.random.default_rng(7)
    n = generator.integers(1, 400, STRATA)
    x = generator.binomial(n, 0.03)

    def here() -> object:
        found = exact_bounds(x, n)
        return np.asarray(found.upper)[:LOOPED]

    def loop() -> object:
        return [
            binomtest(int(a), int(b)).proportion_ci(0.95, "exact").high
            for a, b in zip(x[:LOOPED], n[:LOOPED], strict=True)
        ]

    how = f"scipy's binomtest on {LOOPED:,} of them, scaled up"
    return Pair(f"exact limits of {STRATA:,} strata", here, loop, close(1e-7), STRATA / LOOPED, how)


def large_lot() -> Pair:
    """Exact limits of a finite lot."""
    x, n, lot = 3, 200, 20_000

    def loop() -> object:
        defects = np.arange(x, lot - (n - x) + 1)
        kept = defects[hypergeom.cdf(x, lot, defects, n) > 0.025]  # noqa: PLR2004  # half of 5 %
        return int(kept.max())

    how = "scipy's hypergeometric tail for every possible number"
    return Pair(
        "upper limit of a lot of 20,000",
        lambda: lot_limits(x, n, lot).upper,
        loop,
        close(0),
        1,
        how,
    )


def redraws() -> Pair:
    """Whole shifts drawn again."""
    generator = np.random.default_rng(7)
    n = generator.integers(5, 30, 800)
    x = generator.binomial(n, 0.1)
    part = 400

    def here() -> object:
        return cluster_bootstrap(x, n, np.random.default_rng(1), replicates=4000).upper

    def loop() -> object:
        again = np.random.default_rng(1)
        shares = []
        for _ in range(part):
            chosen = again.choice(len(n), len(n))
            shares.append(sum(x[i] for i in chosen) / sum(n[i] for i in chosen))
        return float(np.quantile(shares, 0.975))

    how = f"numpy's choice, one replicate after the other, {part} of 4,000, scaled up"
    return Pair("4,000 redraws of 800 shifts", here, loop, close(0.05), 4000 / part, how)


def rule_lengths() -> Pair:
    """Average run length under four run rules."""
    part = 300

    def loop() -> object:
        generator = np.random.default_rng(7)
        lengths = []
        for _ in range(part):
            z = generator.standard_normal(2000)
            points = signals(z, WESTERN_ELECTRIC).points
            lengths.append(points[0] + 1 if points else len(z))
        return float(np.mean(lengths))

    how = f"{part} simulated charts of 10,000, scaled up (agree within the simulation's error)"
    return Pair(
        "run length under four run rules, exact",
        lambda: rules_run_length(WESTERN_ELECTRIC).average,
        loop,
        close(0.2),
        10_000 / part,
        how,
    )


def cusum_lengths() -> Pair:
    """Average run length of a CUSUM chart."""
    part = 100

    def loop() -> object:
        generator = np.random.default_rng(7)
        lengths = []
        for _ in range(part):
            high = low = 0.0
            length = 0
            while max(high, low) <= 4:  # noqa: PLR2004  # the chart's h
                z = generator.standard_normal()
                high, low = max(0.0, high + z - 0.5), max(0.0, low - z - 0.5)
                length += 1
            lengths.append(length)
        return float(np.mean(lengths))

    how = f"{part} simulated charts of 10,000, scaled up (agree within the simulation's error)"
    return Pair(
        "run length of a CUSUM chart",
        lambda: cusum_run_length(0.5, 4).average,
        loop,
        close(0.35),
        10_000 / part,
        how,
    )


def many_machines() -> Pair:
    """Waiting of machines for persons, from one machine to two hundred."""
    sizes = range(1, 201)

    def here() -> object:
        return [finite_source_queue(size, 30, 5, persons=3).running for size in sizes][99]

    def loop() -> object:
        size, persons, stop, serve = 100, 3, 1 / 30, 1 / 5
        rates = np.zeros((size + 1, size + 1))
        for down in range(size + 1):
            up = (size - down) * stop
            back = min(down, persons) * serve
            if down < size:
                rates[down, down + 1] = up
            if down:
                rates[down, down - 1] = back
            rates[down, down] = -up - back
        shares = null_space(rates.T)[:, 0]
        shares /= shares.sum()
        return size - float(shares @ np.arange(size + 1))

    how = "null space of the generator matrix for 100 machines, times 200"
    return Pair("waiting with 1 to 200 machines, 3 persons", here, loop, close(1e-6), 200, how)


def draw() -> Pair:
    """A sample of a million refs that anyone can draw again."""
    refs = [f"C-{number:07}" for number in range(1_000_000)]

    def here() -> object:
        return sum(len(one.refs) for one in draw_sample(refs, 60, seed=7).strata)

    def loop() -> object:
        return len(np.random.default_rng(7).choice(np.array(sorted(refs)), 60, replace=False))

    how = "numpy's choice over the sorted refs (not the same draw: its stream may change)"
    return Pair("60 of 1,000,000 refs", here, loop, close(0), 1, how)


def main() -> None:
    """Measures every pair and writes the page."""
    text = HEAD.format(repeats=REPEATS, machine=machine())
    pairs = (
        million_strata,
        large_lot,
        redraws,
        rule_lengths,
        cusum_lengths,
        many_machines,
        draw,
    )
    for made in pairs:
        pair = made()
        here, ours = seconds(pair.here)
        loop, theirs = seconds(pair.loop)
        pair.same(ours, theirs)
        whole = loop * pair.times
        line = (
            f"| {pair.what} | {here:.3g} s | {whole:.3g} s | {whole / here:,.2g} × | {pair.how} |"
        )
        print(line, flush=True)
        text += line + "\n"
    PAGE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()

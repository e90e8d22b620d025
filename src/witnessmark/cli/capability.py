"""`witnessmark capability`: a column against its tolerance, stability first."""

from pathlib import Path
from typing import Literal

from witnessmark.cli.reading import AS_WRITTEN, Reading, refuse_persons
from witnessmark.cli.stated import PLAIN, Figure, Output, between, state
from witnessmark.cli.subgroups import INDIVIDUALS, RULES, Grouping
from witnessmark.cli.values import Share
from witnessmark.report.charts import About
from witnessmark.stats.capability import Capability, process_capability
from witnessmark.stats.result import percent
from witnessmark.stats.station_capability import station_capabilities


def run(
    file: Path,
    column: str,
    *,
    lower: float | None = None,
    upper: float | None = None,
    target: float | None = None,
    by: str | None = None,
    grouping: Grouping = INDIVIDUALS,
    rules: Literal["beyond-3", "western-electric", "nelson"] = "beyond-3",
    confidence: Share = 0.95,
    reading: Reading = AS_WRITTEN,
    output: Output = PLAIN,
) -> None:
    """Say how capable a process was, after the look at its stability.

    Args:
        file: CSV, XLSX or Parquet with a header, its rows in the order made.
        column: Column of the values.
        lower: Lower tolerance limit.
        upper: Upper tolerance limit.
        target: Where the process should run.
        by: Column that tells stations, cavities or machines apart; they are never pooled.
        grouping: How rows make subgroups.
        rules: Run rules that the plant adopted.
        confidence: Two-sided confidence of the limits: 95% or 0.95.
        reading: How the file is read.
        output: How the result leaves the command.
    """
    study = reading.read(file)
    adopted = RULES[rules]
    if by is None:
        values = grouping.values(study, column)
        found = process_capability(values, lower, upper, target, confidence, adopted)
        about = About(column, values=tuple(study.numbers(column)))
        totals = ("Rows of totals left out", study.totals or None)
        state(found, [*_figures(found), totals], output, about)
        return
    refuse_persons("--by", by)
    stations = {name: study.only(by, name) for name in dict.fromkeys(study.texts(by))}
    groups = {name: grouping.values(part, column) for name, part in stations.items()}
    apart = station_capabilities(groups, lower, upper, target, confidence, adopted)
    figures: list[Figure] = [
        (name, f"Ppk {one.ppk.value:.2f} ({_limits(one)}), n = {one.n}, {_stable(one)}")
        for name, one in apart.by_station.items()
    ]
    state(apart, [*figures, ("Least", apart.least)], output, About(column))


def _figures(found: Capability) -> list[Figure]:
    potential = found.potential
    return [
        ("Values", found.n),
        ("Mean", f"{found.mean:.6g}"),
        ("Standard deviation, all", found.sd),
        ("Standard deviation within", found.sigma),
        ("Stable", _stable(found)),
        ("Ppk", f"{found.ppk.value:.2f} ({_limits(found)})"),
        ("Pp", None if found.pp is None else f"{found.pp.value:.2f}"),
        ("Cpk", None if potential is None else f"{potential.cpk:.2f}"),
        ("Cp", None if potential is None or potential.cp is None else f"{potential.cp:.2f}"),
        ("Cpm", found.performance.cpm),
        ("Values beyond the limits", f"{found.below} below, {found.above} above"),
        ("Beyond, if values are normal", percent(found.performance.fraction_out)),
    ]


def _limits(found: Capability) -> str:
    upper = None if found.ppk.upper is None else f"{found.ppk.upper:.2f}"
    return between(f"{found.ppk.lower:.2f}", upper)


def _stable(found: Capability) -> str:
    return "no signal on the chart" if found.is_stable else "not stable"

"""`witnessmark chart`: the control chart of a column."""

from pathlib import Path
from typing import Literal

from witnessmark.cli.reading import AS_WRITTEN, Reading
from witnessmark.cli.stated import PLAIN, Figure, Output, between, state
from witnessmark.cli.subgroups import INDIVIDUALS, RULES, Grouping, outside_named
from witnessmark.errors import UnusableInputError, Where
from witnessmark.records.study_table import StudyTable
from witnessmark.report.charts import About
from witnessmark.stats.attribute_charts import c_chart, np_chart, p_chart, u_chart
from witnessmark.stats.control_chart import ChartPair, ControlChart
from witnessmark.stats.control_charts import (
    individuals_chart,
    means_and_deviations_chart,
    means_and_ranges_chart,
)
from witnessmark.stats.result import Stated
from witnessmark.stats.run_rules import signals

Kind = Literal["individuals", "means-ranges", "means-deviations", "p", "np", "c", "u"]


def run(
    file: Path,
    column: str,
    *,
    kind: Kind | None = None,
    grouping: Grouping = INDIVIDUALS,
    n: str | None = None,
    mean: float | None = None,
    sigma: float | None = None,
    rules: Literal["beyond-3", "western-electric", "nelson"] = "beyond-3",
    reading: Reading = AS_WRITTEN,
    output: Output = PLAIN,
) -> None:
    """Make the control chart of a column.

    Args:
        file: CSV, XLSX or Parquet with a header, its rows in time order.
        column: Column of the values or counts.
        kind: Chart; default individuals, or means-ranges where there are subgroups. p and np:
            nonconforming of `n`; c: nonconformities; u: nonconformities per exposure `n`.
        grouping: How rows make subgroups.
        n: For p, np and u: column of the pieces looked at or the exposure.
        mean: Centre adopted earlier; for counts the rate, number or count adopted earlier.
        sigma: Standard deviation adopted earlier; only for values.
        rules: Run rules that the plant adopted; each further rule adds false signals.
        reading: How the file is read.
        output: How the result leaves the command.
    """
    study = reading.read(file)
    grouped = grouping.labels(study) is not None
    chosen = kind or ("means-ranges" if grouped else "individuals")
    if chosen in {"individuals", "p", "np", "c", "u"} and grouped:
        raise UnusableInputError.one(Where("--kind"), f"{chosen} takes no subgroups.")
    result: ChartPair | ControlChart
    if chosen in {"individuals", "means-ranges", "means-deviations"}:
        if n is not None:
            raise UnusableInputError.one(Where("--n"), "charts of values have no n.")
        pair = _of_values(study, column, chosen, grouping, mean, sigma)
        location, result = pair.location, pair
        lag = 1 if chosen == "individuals" else 0
        figures = [*_figures(pair.location, grouping, study), ("Sigma within", pair.sigma)]
        named = outside_named(pair.spread.outside, grouping.rows(study), lag)
        limits = between(min(pair.spread.lower), max(pair.spread.upper))
        figures += [(f"Limits of {pair.spread.kind}", limits), ("Spread outside", named)]
    else:
        if sigma is not None:
            raise UnusableInputError.one(Where("--sigma"), "charts of counts have none.")
        location = result = _of_counts(study, column, chosen, n, mean)
        figures = _figures(location, grouping, study)
    found = signals(location.z, RULES[rules])
    results: dict[str, Stated] = {"chart": result}
    if rules != "beyond-3":
        results["signals"] = found
        for rule, places in found.by_rule:
            figures.append((str(rule), outside_named(places, grouping.rows(study))))
    figures.append(("Rows of totals left out", study.totals or None))
    state(results if len(results) > 1 else result, figures, output, About(column))


def _of_values(
    study: StudyTable,
    column: str,
    kind: str,
    grouping: Grouping,
    mean: float | None,
    sigma: float | None,
) -> ChartPair:
    values = grouping.values(study, column)
    if kind == "individuals":
        return individuals_chart(values, mean, sigma)
    if kind == "means-ranges":
        return means_and_ranges_chart(_rows_of(values), mean, sigma)
    return means_and_deviations_chart(_rows_of(values), mean, sigma)


def _rows_of(values: list[float] | list[list[float]]) -> list[list[float]]:
    """Subgroups; individual values are refused."""
    rows = [row for row in values if isinstance(row, list)]
    if len(rows) < len(values):
        raise UnusableInputError.one(
            Where("--kind"), "means need subgroups.", "--subgroup or --size"
        )
    return rows


def _of_counts(
    study: StudyTable, column: str, kind: str, n: str | None, adopted: float | None
) -> ControlChart:
    counts = study.numbers(column)
    if kind == "c":
        if n is not None:
            raise UnusableInputError.one(Where("--n"), "a c chart has none.", "--kind u")
        return c_chart(counts, adopted)
    if n is None:
        raise UnusableInputError.one(
            Where("--n"), f"a {kind} chart needs it.", "the column of pieces looked at or exposure"
        )
    charts = {"p": p_chart, "np": np_chart, "u": u_chart}
    return charts[kind](counts, study.numbers(n), adopted)


def _figures(location: ControlChart, grouping: Grouping, study: StudyTable) -> list[Figure]:
    return [
        (f"Points ({location.kind})", len(location.points)),
        ("Centre", between_equal(location.centre)),
        ("Lower limit", between_equal(location.lower)),
        ("Upper limit", between_equal(location.upper)),
        ("Outside", outside_named(location.outside, grouping.rows(study))),
    ]


def between_equal(values: tuple[float, ...]) -> str:
    """Limits of a line: one figure where it is straight."""
    low, high = f"{min(values):.5g}", f"{max(values):.5g}"
    return low if low == high else f"{low} to {high}"

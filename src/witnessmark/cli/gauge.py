"""`witnessmark gauge`: a gauge study, of measured values or of decisions."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Literal, TypeVar

from witnessmark.cli.reading import AS_WRITTEN, Reading
from witnessmark.cli.stated import PLAIN, Figure, Output, between, in_percent, state
from witnessmark.cli.values import Share
from witnessmark.errors import Fault, UnusableInputError
from witnessmark.records.study_table import StudyTable
from witnessmark.stats.attribute_study import attribute_study
from witnessmark.stats.gauge_study import average_range_study, gauge_study
from witnessmark.stats.proportion import Interval

ACCEPTS = frozenset({"1", "true", "yes", "ok", "good", "pass", "accept", "accepted", "io"})
REJECTS = frozenset(
    {"0", "false", "no", "nok", "not ok", "bad", "fail", "reject", "rejected", "nio"}
)
Cell = TypeVar("Cell")


def run(
    file: Path,
    *,
    part: str = "part",
    appraiser: str = "appraiser",
    reading: str = "reading",
    tolerance: float | None = None,
    method: Literal["variance", "ranges"] = "variance",
    reference: str | None = None,
    confidence: Share = 0.95,
    how: Reading = AS_WRITTEN,
    output: Output = PLAIN,
) -> None:
    """Give the spread of a gauge, or what an attribute gauge misses and wrongly rejects.

    Args:
        file: CSV, XLSX or Parquet with a header and a row for each reading.
        part: Column of the part.
        appraiser: Column of the appraiser; printed as appraiser 1, 2, .. in the order of the file,
            for the study is of the gauge.
        reading: Column of the reading or decision.
        tolerance: Width of the tolerance.
        method: Analysis of variance, or average and range (which has no limits).
        reference: Column of the right decision; readings are then decisions too (ok and nok, 1 and
            0, pass and fail).
        confidence: Two-sided confidence of the limits: 95% or 0.95.
        how: How the file is read.
        output: How the result leaves the command.
    """
    study = how.read(file)
    if reference is not None:
        _decisions(study, part, appraiser, reading, reference, confidence, output)
        return
    table = list(_crossed(study, part, appraiser, study.numbers(reading)).values())
    by_part = [list(rows) for rows in zip(*table, strict=True)]
    found = (
        gauge_study(by_part, tolerance, confidence)
        if method == "variance"
        else average_range_study(by_part, tolerance)
    )
    limits = found.tolerance_share_limits
    figures: list[Figure] = [
        ("Parts", len(by_part)),
        ("Appraisers", len(table)),
        ("Trials", len(by_part[0][0])),
        ("Repeatability (EV)", found.repeatability),
        ("Reproducibility (AV)", found.reproducibility),
        ("Gauge (GRR)", found.gauge),
        ("Part to part (PV)", found.part),
        ("Share of the tolerance", in_percent(found.gauge_share_of_tolerance)),
        ("Limits of that share", limits and between(*map(in_percent, limits))),
        ("Share of the variation", in_percent(found.gauge_share_of_variation)),
        ("Categories told apart (ndc)", found.ndc),
    ]
    state(found, figures, output)


def _decisions(
    study: StudyTable,
    part: str,
    appraiser: str,
    reading: str,
    reference: str,
    confidence: float,
    output: Output,
) -> None:
    table = _crossed(study, part, appraiser, _yes_or_no(study, reading))
    right: dict[str, int] = {}
    for (row, _), name, value in zip(
        study.rows, study.texts(part), _yes_or_no(study, reference), strict=True
    ):
        if right.setdefault(name, value) != value:
            raise UnusableInputError.one(
                replace(study.where, row=row, column=reference),
                f'part "{name}" has another reference above.',
                "one reference for each part",
            )
    found = attribute_study(table, list(right.values()), confidence)
    figures: list[Figure] = [
        ("Parts", found.parts),
        ("Bad parts", found.bad_parts),
        ("Trials", found.trials),
    ]
    for name, one in found.by_appraiser.items():
        figures += [
            (f"{name}: bad parts accepted", _share(one.misses)),
            (f"{name}: good parts rejected", _share(one.false_alarms)),
            (f"{name}: right in every trial", _share(one.effectiveness)),
        ]
    state(found, figures, output)


def _share(found: Interval) -> str:
    limits = between(in_percent(found.lower), in_percent(found.upper))
    return f"{found.x:.0f} of {found.n:.0f} ({limits})"


def _crossed(
    study: StudyTable, part: str, appraiser: str, values: Sequence[Cell]
) -> dict[str, list[list[Cell]]]:
    """Readings by appraiser, part and trial; appraisers numbered in the order of the file.

    Raises:
        UnusableInputError: An appraiser did not judge a part as often as the first one did.
    """
    parts, persons = study.texts(part), study.texts(appraiser)
    cells: dict[tuple[str, str], list[Cell]] = {}
    for person, name, value in zip(persons, parts, values, strict=True):
        cells.setdefault((person, name), []).append(value)
    order = {person: f"appraiser {n}" for n, person in enumerate(dict.fromkeys(persons), 1)}
    names = list(dict.fromkeys(parts))
    trials = len(cells[persons[0], parts[0]])
    faults = [
        Fault(
            replace(study.where, column=f"{part} and {appraiser}"),
            f'{order[person]} has {len(cells.get((person, name), []))} readings of part "{name}".',
            f"{trials}, as every appraiser of every part",
        )
        for person in order
        for name in names
        if len(cells.get((person, name), [])) != trials
    ]
    if faults:
        raise UnusableInputError(faults)
    return {said: [cells[person, name] for name in names] for person, said in order.items()}


def _yes_or_no(study: StudyTable, column: str) -> list[int]:
    texts = study.texts(column)
    faults = [
        Fault(
            replace(study.where, row=row, column=column),
            f'"{text}".',
            "a decision such as ok and nok, pass and fail, or 1 and 0",
        )
        for (row, _), text in zip(study.rows, texts, strict=True)
        if text.lower() not in ACCEPTS | REJECTS
    ]
    if faults:
        raise UnusableInputError(faults)
    return [int(text.lower() in ACCEPTS) for text in texts]

"""`witnessmark draw`: a sample list from a frozen population, which anyone can draw again."""

import json as json_text
import shlex
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Annotated, Literal
from zoneinfo import ZoneInfo

from cyclopts import Parameter

from witnessmark.cli.opened import Opened, opened
from witnessmark.cli.sample_list import SampleList
from witnessmark.errors import UnfitNumbersError, UnusableInputError, Where
from witnessmark.record_tests.persons import A_PERSON, holds_person
from witnessmark.record_tests.population import Population, Unit, population_of
from witnessmark.record_tests.record_test import BASES
from witnessmark.record_tests.shown import ref_of, shown
from witnessmark.stats.result import counted
from witnessmark.stats.selection import StratifiedDraw, StratumDraw, TargetedSample, draw_sample

FREEZE = "FREEZE"
NOT_KNOWN = "not known"
ALL = "all"
DIGITS = 12
Only = Literal["all", "exceptions", "conforming", "not-assessable"]
RESULTS = {
    "exceptions": "exception",
    "conforming": "conforming",
    "not-assessable": "not assessable",
}
REPLACEMENT = (
    "An item that cannot be looked at stays on the list and counts as an exception until its "
    "absence is explained. Take the next of the reserve of its stratum, in the order listed, and "
    "no other; its being there does not mend what is missing."
)
RANDOM = (
    "A rate may be stated for this population, with the limits of `witnessmark rate x/n --lot N`"
)


@dataclass(frozen=True)
class Asked:
    """What was asked of the population; also what the command that draws it again says."""

    name: str
    only: Only
    by: tuple[str, ...]
    size: str | None
    each: int | None
    least: int
    seed: int | None
    reserve: int
    target: str | None

    def command(self) -> str:
        """The command that draws the same list from the same freeze."""
        parts = ["witnessmark", "draw", FREEZE, "--from", self.name]
        options = {
            "--only": self.only if self.only != ALL else None,
            "--by": ",".join(self.by) or None,
            "--size": self.size,
            "--each": self.each,
            "--least": self.least or None,
            "--seed": self.seed,
            "--reserve": self.reserve if self.seed is not None else None,
            "--target": self.target,
        }
        for name, value in options.items():
            if value is not None:
                parts += [name, str(value)]
        return shlex.join(parts)


def run(
    folder: Path,
    *,
    from_: Annotated[str, Parameter(name="--from")],
    only: Only = "all",
    by: str = "",
    size: str | None = None,
    each: int | None = None,
    least: int = 0,
    seed: int | None = None,
    reserve: int = 5,
    target: str | None = None,
    out: Path | None = None,
    criteria: Path | None = None,
    json: Annotated[bool, Parameter(negative="")] = False,
) -> None:
    """Draw a sample list from the units of a record test or the rows of a table.

    Args:
        folder: Folder of exports, or of its freeze.
        from_: Slug of a record test, or name of a table such as checks.
        only: Units of a record test with this result.
        by: Strata: columns with commas between, such as shift,attendance.
        size: Number to draw in all, in proportion to the strata; or a number for each:
            "early=10,night=20".
        each: Number to draw from each stratum (all of a smaller one).
        least: With size: least number from each stratum.
        seed: A whole number, fixed before the list is seen, such as one that somebody else names;
            the same freeze and seed give the same list.
        reserve: Replacements for each stratum.
        target: Why items were chosen: marks the list as a targeted sample, of which no rate is
            ever stated. Without a size all units are listed.
        out: File of the list: .csv, .xlsx or .md; without it the list is printed.
        criteria: The plant's own limits, where the freeze does not lie in its folder of exports.
        json: Whether the list is printed as JSON.
    """
    strata = tuple(name.strip() for name in by.split(",") if name.strip())
    asked = Asked(from_, only, strata, size, each, least, seed, reserve, target)
    with opened(folder, criteria) as frozen:
        population = population_of(from_, frozen.timeline, frozen.basis)
        sample = _sample_list(asked, population, frozen)
    if out is not None:
        sample.write(out)
    if json:
        print(json_text.dumps(_plain(sample), indent=1, ensure_ascii=False))
    elif out is None:
        print(sample.as_markdown(), end="")
    else:
        print(out)


def _plain(sample: SampleList) -> dict[str, object]:
    rows = [dict(zip(sample.columns, row, strict=True)) for row in sample.rows]
    return {"header": dict(sample.header), "rows": rows}


def _sample_list(asked: Asked, population: Population, frozen: Opened) -> SampleList:
    hidden = _hidden(population, frozen)
    zone = frozen.timeline.store.zone
    units = _chosen(asked, population)
    names = [_stratum(unit, asked.by, zone) for unit in units]
    _demand_strata(asked.by, population, hidden)
    draw = _draw(asked, [unit.ref for unit in units], names)
    by_ref = {unit.ref: unit for unit in units}
    place_of = {unit.ref: place for place, unit in enumerate(units)}
    said = hidden | (set(population.key) if len(population.key) == 1 else set())
    columns = [name for name in population.shows if name not in said]
    rows = [
        (stratum.name, place, by_ref[ref])
        for stratum in draw.strata
        for place, refs in (("sample", stratum.refs), ("reserve", stratum.reserve))
        for ref in (refs if asked.seed is not None else sorted(refs, key=place_of.__getitem__))
    ]
    return SampleList(
        header=_header(asked, population, frozen, units, draw),
        columns=("No", "Stratum", "Place", "Ref", *columns),
        rows=tuple(
            (
                str(number),
                stratum,
                place,
                _shown_ref(unit, population, hidden),
                *(shown(name, unit.values.get(name), zone) for name in columns),
            )
            for number, (stratum, place, unit) in enumerate(rows, 1)
        ),
    )


def _hidden(population: Population, frozen: Opened) -> frozenset[str]:
    """Columns that may hold a person and may not be printed under the plant's person basis."""
    if BASES.index(frozen.basis) >= BASES.index(population.persons_from):
        return frozenset()
    known = {*population.key, *population.shows, *population.strata}
    return population.personal | {name for name in known if holds_person(name)}


def _shown_ref(unit: Unit, population: Population, hidden: frozenset[str]) -> str:
    """The ref, with every person in it replaced."""
    if not hidden & set(population.key):
        return unit.ref
    values = {
        name: A_PERSON if name in hidden and unit.values[name] is not None else unit.values[name]
        for name in population.key
    }
    return ref_of(values, population.key)


def _chosen(asked: Asked, population: Population) -> list[Unit]:
    if asked.only == ALL:
        return list(population.units)
    if not population.is_test:
        raise UnusableInputError.one(
            Where("--only"), "rows of a table have no result.", "a record test in --from"
        )
    return [unit for unit in population.units if unit.result == RESULTS[asked.only]]


def _demand_strata(by: tuple[str, ...], population: Population, hidden: frozenset[str]) -> None:
    for name in by:
        if name in hidden:
            raise UnusableInputError.one(
                Where("--by"), f"{name} may hold persons, and the plant has no basis for that."
            )
        if name not in population.strata:
            raise UnusableInputError.one(
                Where("--by"),
                f'{population.name} has no column "{name}".',
                ", ".join(column for column in population.strata if column not in hidden),
            )


def _stratum(unit: Unit, by: tuple[str, ...], zone: ZoneInfo) -> str:
    values = [unit.values.get(name) for name in by]
    named = [
        NOT_KNOWN if value is None else shown(name, value, zone)
        for name, value in zip(by, values, strict=True)
    ]
    return " / ".join(named) or ALL


def _draw(asked: Asked, refs: list[str], names: list[str]) -> StratifiedDraw:
    sizes = Counter(names)
    if asked.size is not None and asked.each is not None:
        raise UnusableInputError.one(Where("--size and --each"), "both say how many.", "one")
    if asked.target is not None:
        TargetedSample((), asked.target)  # refuses a blank reason
        if asked.size is None and asked.each is None:
            return draw_sample(refs, len(refs), asked.seed or 0, names, reserve=0)
    if asked.seed is None:
        raise UnusableInputError.one(
            Where("--seed"), "it is not given.", "a whole number, fixed before the list is seen"
        )
    if asked.each is not None:
        given = {name: min(asked.each, size) for name, size in sizes.items()}
        return draw_sample(refs, given, asked.seed, names, "given", reserve=asked.reserve)
    if asked.size is None:
        raise UnusableInputError.one(
            Where("--size"), "it is not given.", "a number to draw, or --each for each stratum"
        )
    if "=" in asked.size:
        given = _sizes(asked.size)
        return draw_sample(refs, given, asked.seed, names, "given", reserve=asked.reserve)
    n = _whole(asked.size)
    return draw_sample(refs, n, asked.seed, names, minimum=asked.least, reserve=asked.reserve)


def _sizes(text: str) -> dict[str, int]:
    """Numbers by stratum from "early=10,night=20"."""
    given = {}
    for part in text.split(","):
        name, _, number = part.rpartition("=")
        given[name.strip()] = _whole(number)
    return given


def _whole(text: str) -> int:
    if not text.strip().isdigit():
        raise UnfitNumbersError(f'--size "{text}"', 'a whole number, or "early=10,night=20"')
    return int(text)


def _header(
    asked: Asked,
    population: Population,
    frozen: Opened,
    units: Sequence[Unit],
    draw: StratifiedDraw,
) -> tuple[tuple[str, str], ...]:
    refs = "\n".join(sorted(unit.ref for unit in units))
    lines = [
        ("Population", population.about),
        ("Of it", _of_it(asked, len(units), len(population.units))),
        ("Freeze", frozen.identity),
        ("Identity of the population", sha256(refs.encode()).hexdigest()[:DIGITS]),
        *(("Limit in force", text) for text in population.criteria),
    ]  # fmt: skip
    lines += [(f"Stratum {stratum.name}", _counts(stratum)) for stratum in draw.strata]
    if asked.seed is not None:
        lines += [("Seed", str(asked.seed)), ("Drawn", draw.method)]
    lines += [
        ("What it can show", _can_show(asked, draw)),
        ("Missing items", REPLACEMENT),
        ("Draw it again", f"{asked.command()} ({FREEZE} is the folder of this freeze)"),
    ]
    return tuple(lines)


def _of_it(asked: Asked, taken: int, population: int) -> str:
    said = {"all": "all", "not-assessable": "those that cannot be assessed"}
    return f"{said.get(asked.only, asked.only)}: {counted(taken, 'unit')} of {population:,}"


def _counts(stratum: StratumDraw) -> str:
    return (
        f"{counted(stratum.size, 'unit')}, {len(stratum.refs):,} in the sample, "
        f"{len(stratum.reserve):,} in reserve"
    )


def _can_show(asked: Asked, draw: StratifiedDraw) -> str:
    if asked.target is not None:
        return (
            f"TARGETED SAMPLE. Chosen because {asked.target}. It can show that something happens, "
            "never how often: no rate may be stated from it."
        )
    if asked.only != ALL:
        return f"{RANDOM}; it speaks of the units with this result only, not of all units."
    if len(draw.strata) > 1 and draw.allocation != "proportional":
        return f"{RANDOM}, of each stratum by itself; over all, strata count by their size."
    return f"{RANDOM}."

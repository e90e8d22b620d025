"""Single sampling plans of MIL-STD-105E, looked up by lot size, level and AQL.

The tables are data beside this file (public domain). The one for reduced inspection was recalled,
not read in a copy of the standard, and says so in every plan it gives.
"""

import json
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from witnessmark.errors import UnfitNumbersError
from witnessmark.stats import require
from witnessmark.stats.result import counted

Inspection = Literal["normal", "tightened", "reduced"]
TABLES: dict[Inspection, str] = {"normal": "II-A", "tightened": "II-B", "reduced": "II-C"}
STEPS = {"down": 1, "up": -1}
UNCHECKED = (
    "Table II-C is recalled and was not compared with a copy of the standard: compare n, accept "
    "and reject with it before use."
)


@dataclass(frozen=True)
class IndexedPlan:
    """A single sampling plan of the standard.

    Args:
        lot: Number in the lot.
        level: Inspection level.
        aql: Acceptable quality level, percent deviating or deviations per hundred.
        inspection: Normal, tightened or reduced.
        code_letter: Letter of the lot size and level.
        plan_letter: Letter whose plan applies after arrows.
        n: Number to look at; the whole lot where the sample would reach it.
        accept: Accept with at most so many.
        reject: Reject with so many or more. Between the two (reduced inspection only): accept this
            lot and go back to normal inspection.
        inspect_all: The sample would reach the lot: look at every item.
        checked: The table was compared with a copy of the standard.
    """

    lot: int
    level: str
    aql: float
    inspection: Inspection
    code_letter: str
    plan_letter: str
    n: int
    accept: int
    reject: int
    inspect_all: bool
    checked: bool

    @property
    def method(self) -> str:
        """Which tables."""
        return f"MIL-STD-105E, tables I and {TABLES[self.inspection]}, arrows followed"

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What must hold."""
        scheme = "The switching rules are followed; without them the plan protects nobody."
        table = () if self.checked else (UNCHECKED,)
        return ("The sample is drawn at random from the whole lot.", scheme, *table)

    @property
    def sentence(self) -> str:
        """The plan in words."""
        letter = f"letter {self.code_letter}"
        if self.plan_letter != self.code_letter:
            letter += f", plan of letter {self.plan_letter}"
        look = (
            f"every one of the {counted(self.n, 'item')}"
            if self.inspect_all
            else f"{counted(self.n, 'item')} of {self.lot:,}"
        )
        warned = "" if self.checked else f" {UNCHECKED}"
        return (
            f"{self.inspection.capitalize()} inspection, level {self.level}, AQL {self.aql:g} "
            f"({letter}): look at {look}, accept with at most {self.accept:,}, reject with "
            f"{self.reject:,} or more. The AQL is no rate that an accepted lot has.{warned}"
        )


def indexed_plan(
    lot: int, aql: float, level: str = "II", inspection: Inspection = "normal"
) -> IndexedPlan:
    """Gives the single sampling plan of the standard for a lot, a level and an AQL.

    Args:
        lot: Number in the lot, at least 2.
        aql: One of the standard's 26 values, 0.010 to 1000.
        level: "I", "II", "III", or "S-1" to "S-4".
        inspection: "normal", "tightened" or "reduced".

    Returns:
        The plan, arrows followed.

    Raises:
        UnfitNumbersError: A lot below 2, an AQL, level or kind of inspection the standard does
            not have, or a place of the reduced table where no plan is recorded.

    Shapes:
        All single values.

    Units:
        AQL as in the standard: percent deviating, or deviations per hundred items.

    Assumes:
        A series of lots, with the switching rules followed.

    Source:
        MIL-STD-105E (1989), tables I, II-A, II-B, II-C; 4.9.3 and 4.9.4.

    Examples:
        >>> plan = indexed_plan(1000, 1.0)
        >>> plan.code_letter, plan.n, plan.accept, plan.reject
        ('J', 80, 2, 3)
        >>> indexed_plan(60, 1.5).plan_letter
        'D'
    """
    tables = _tables()
    lot = require.count("lot", lot, 2)
    _known("level", level, tables["levels"])
    _known("inspection", inspection, list(TABLES))
    _known("aql", float(aql), tables["aql"])
    code_letter = next(
        row[2 + tables["levels"].index(level)]
        for row in tables["letters"]
        if row[1] is None or lot <= row[1]
    )
    rows: dict[str, Any] = tables[inspection]
    letters, column = list(rows), tables["aql"].index(float(aql))
    place = letters.index(code_letter) if code_letter in rows else len(letters)
    cell = None
    while 0 <= place < len(letters):
        n, cells = rows[letters[place]]
        cell = cells[column]
        if not isinstance(cell, str):
            break
        place += STEPS[cell]
    if not isinstance(cell, list):
        raise UnfitNumbersError(
            f"{inspection} inspection, letter {code_letter}, AQL {aql:g}: no plan recorded here",
            f"a look into table {TABLES[inspection]} of the standard",
        )
    return IndexedPlan(
        lot,
        level,
        float(aql),
        inspection,
        code_letter,
        letters[place],
        min(n, lot),
        cell[0],
        cell[1],
        n >= lot,
        tables["checked"][inspection],
    )


@cache
def _tables() -> dict[str, Any]:
    text = (files("witnessmark.stats") / "indexed_plans.json").read_text("utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def _known(name: str, value: object, known: list[Any]) -> None:
    if value not in known:
        said = ", ".join(f"{one:g}" if isinstance(one, float) else str(one) for one in known)
        raise UnfitNumbersError(f"{name} = {value}", f"one of {said}")

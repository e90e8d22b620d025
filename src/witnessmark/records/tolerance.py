"""Tolerance text as drawings and check sheets write it, to nominal, lower and upper, as SQL.

Read are "12.7 ±0.05", "12.7 +0.1/-0.05", "12.65 - 12.75", "max 0.8", "<= 0.8", "min 3" and a bare
number (nominal alone), with decimal points. What is none of these gives null.
"""

from typing import Literal

from witnessmark.records.numbers import trimmed_sql

Part = Literal["nominal", "lower", "upper"]
SIGNED = r"([+-]?\d+(?:\.\d+)?)"
UNSIGNED = r"(\d+(?:\.\d+)?)"
OFFSET = r"([+\-−–] ?\d+(?:\.\d+)?|0)"
SHAPES = {
    "even": (rf"^{SIGNED} ?(?:±|\+/-|\+-) ?{UNSIGNED}$", ("n", "d")),
    "uneven": (rf"^{SIGNED} ?{OFFSET} ?[/; ] ?{OFFSET}$", ("n", "a", "b")),
    "span": (rf"^{SIGNED} ?(?:-|–|\.\.\.?|…|to|bis) ?{SIGNED}$", ("a", "b")),
    "most": (rf"^(?:max\.? ?|≤ ?|<=? ?){SIGNED}$", ("n",)),
    "least": (rf"^(?:min\.? ?|≥ ?|>=? ?){SIGNED}$", ("n",)),
    "alone": (rf"^{SIGNED}$", ("n",)),
}


def tolerance_sql(text: str, part: Part) -> str:
    """SQL for one part of a tolerance text, as text; null where the text has no such part.

    Args:
        text: SQL of the text.
        part: nominal, lower or upper.
    """
    found = ", ".join(
        f"regexp_extract({text}, '{shape}', [{', '.join(repr(name) for name in names)}]) as {kind}"
        for kind, (shape, names) in SHAPES.items()
    )
    chosen = {"nominal": _nominal(), "lower": _limit("least"), "upper": _limit("most")}[part]
    shown = trimmed_sql("cast(chosen as varchar)")
    return f"(select {shown} from (select {chosen} as chosen from (select {found})))"


def is_tolerance_sql(text: str) -> str:
    """SQL for whether a text can be read as a tolerance, whatever part is asked for."""
    shapes = " or ".join(f"regexp_matches({text}, '{shape}')" for shape, _ in SHAPES.values())
    return f"({shapes})"


def _value(kind: str, name: str) -> str:
    bare = f"replace(replace(replace({kind}.{name}, ' ', ''), '−', '-'), '–', '-')"
    return f"try_cast({bare} as decimal(18, 6))"


def _nominal() -> str:
    return f"coalesce({_value('even', 'n')}, {_value('uneven', 'n')}, {_value('alone', 'n')})"


def _limit(bound: Literal["least", "most"]) -> str:
    sign, order, end = ("-", "<", "a") if bound == "least" else ("+", ">", "b")
    one, other = _value("uneven", "a"), _value("uneven", "b")
    further = f"case when {one} {order} {other} then {one} else {other} end"
    return (
        f"coalesce({_value('even', 'n')} {sign} {_value('even', 'd')}, "
        f"{_value('uneven', 'n')} + {further}, {_value('span', end)}, {_value(bound, 'n')})"
    )

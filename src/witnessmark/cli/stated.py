"""How every statistic is printed: a short aligned table, what must hold, the sentence to quote.

As JSON it is the result itself, with everything it says of itself. This module knows no statistic.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from inspect import getmembers_static
from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter

from witnessmark.errors import UnusableInputError, Where
from witnessmark.report.charts import About, has_picture, picture_of, write_picture
from witnessmark.report.charts.dispatch import NOTHING_MORE
from witnessmark.stats.result import Stated, amount, percent

Figure = tuple[str, object]


@Parameter(name="*")
@dataclass(frozen=True)
class Output:
    """How a result leaves the command.

    Args:
        json: Whether the whole result is printed as JSON instead.
        picture: File for the picture of the result, .svg or .png.
    """

    json: Annotated[bool, Parameter(negative="")] = False
    picture: Path | None = None


PLAIN = Output()


def state(
    results: Stated | Mapping[str, Stated],
    figures: Iterable[Figure],
    output: Output,
    about: About = NOTHING_MORE,
) -> None:
    """Prints one result, or several that belong together by name, and writes the picture.

    Args:
        results: The result; of several, the first that has a picture is drawn.
        figures: Label and value of each line of the table; a line without value is left out.
        output: How.
        about: What the picture shows and the result does not say.
    """
    named = results if isinstance(results, Mapping) else {"": results}
    if output.picture is not None:
        _draw(named.values(), about, output.picture)
    if output.json:
        said = plain(results)
        print(json.dumps(said, indent=1, ensure_ascii=False, allow_nan=False))
        return
    methods = dict.fromkeys(result.method for result in named.values())
    print_table([*figures, *(("Method", method) for method in methods)])
    print("\nThis holds if")
    for text in dict.fromkeys(text for result in named.values() for text in result.assumptions):
        print(f"- {text}")
    print("\nFor the report")
    for result in named.values():
        print(result.sentence)


def print_table(figures: Iterable[Figure]) -> None:
    """Prints labels and values in two columns; a line without value is left out."""
    rows = [(label, shown(value)) for label, value in figures if value is not None]
    width = max((len(label) for label, _ in rows), default=0)
    for label, value in rows:
        print(f"{label:<{width}}  {value}")


def shown(value: object) -> str:
    """A value of the table: never a power of ten."""
    match value:
        case None:
            return "none"
        case bool():
            return "yes" if value else "no"
        case int():
            return f"{value:,}"
        case float():
            return amount(value)
        case _:
            return str(value)


def between(lower: object, upper: object) -> str:
    """Two limits in a line; one that is None is not there."""
    return f"{shown(lower)} to {shown(upper)}" if upper is not None else f"{shown(lower)} or more"


def in_percent(share: float | None) -> str | None:
    """A share as a percentage, nothing for nothing."""
    return None if share is None else percent(share)


def plain(value: object) -> Any:
    """A result as JSON can hold it: fields and properties of dataclasses, all the way down."""
    if is_dataclass(value):
        derived = [n for n, m in getmembers_static(type(value)) if isinstance(m, property)]
        names = dict.fromkeys([*(field.name for field in fields(value)), *sorted(derived)])
        return {name: plain(getattr(value, name)) for name in names}
    if isinstance(value, Mapping):
        return {str(name): plain(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return value


def _draw(results: Iterable[Stated], about: About, file: Path) -> None:
    """Writes the picture of the first result that has one."""
    drawn = next((result for result in results if has_picture(result)), None)
    if drawn is None:
        raise UnusableInputError.one(
            Where("--picture"), "this result has no picture.", "the command without it"
        )
    write_picture(picture_of(drawn, about), file)

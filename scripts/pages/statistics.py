"""One page per module of the statistics, and their list by the question an auditor asks.

The pages are made from the docstrings; every example on them is run. Pictures are drawn anew only
where what they are drawn from has changed: each file carries a digest of its source and of itself.
"""

import importlib
import json
import pkgutil
from collections.abc import Iterator
from hashlib import blake2s
from pathlib import Path
from types import ModuleType
from typing import Any

import witnessmark.stats
from pages.docstrings import Documented, documented, run_examples
from pages.markdown import MADE, fence, link, page, table
from pages.statistics_pictures import PICTURES
from witnessmark.report.charts import svg
from witnessmark.report.charts.look import Spec
from witnessmark.report.charts.render import VEGA_LITE

DOCS = Path(__file__).resolve().parent.parent.parent / "docs"
SOURCE = "src/witnessmark/stats/"
DRAWN_FROM = "scripts/pages/statistics_pictures.py"
FIGURES = 10
"""Significant figures of a number in a picture: machines differ in the last ones."""

QUESTIONS: dict[str, tuple[str, ...]] = {
    "How sure is this rate?": (
        "proportion",
        "approximate_interval",
        "finite_lot",
        "stratified",
        "clusters",
        "rates",
        "binomial_test",
        "multiplicity",
    ),
    "How many must I look at?": (
        "detection",
        "attribute_sample",
        "selection",
        "work_sampling",
        "acceptance",
        "indexed_plans",
        "switching",
        "rectifying",
        "staged_plans",
    ),
    "Did it help?": (
        "before_after",
        "sister_machine",
        "clean_days",
        "odds_ratio",
        "delays",
        "change_points",
        "change_segments",
        "change_share",
    ),
    "Is the process stable and able?": (
        "control_charts",
        "attribute_charts",
        "time_weighted_charts",
        "control_chart",
        "control_constants",
        "run_rules",
        "run_lengths",
        "rule_run_lengths",
        "capability",
        "station_capability",
        "capability_index",
        "capability_limits",
        "percentile_capability",
        "variance",
    ),
    "Can the gauge tell?": (
        "gauge_study",
        "attribute_study",
        "repeat_study",
        "gauge_effect",
        "gauge_anova",
        "gauge_constants",
        "agreement",
        "intraclass",
    ),
    "Can one person tend these machines?": (
        "tending",
        "interference",
        "interference_limits",
        "interference_simulation",
        "capacity",
    ),
    "How old are open actions?": ("survival", "logrank", "redated"),
    "Do the clocks agree?": ("clock_offset",),
    "Do records agree with one another?": (
        "declared_recomputed",
        "digits",
        "repeats",
        "spread_against_gauge",
    ),
    "What do all of them share?": ("result", "require"),
}
"""Headings of the list, each with its modules in the order in which they are met."""

INTRODUCTION = """
Every number an auditor states about a sample, a rate, a chart, a gauge, a load or an open action.
Plain numbers go in; a result comes out that says how it was found (`method`), what must hold
(`assumptions`, with what was checked of it) and what it means (`sentence`), fit to be quoted.

Shares are written from 0 to 1. Numbers that a statistic cannot be made of are refused with what
would be needed. A result names what it does *not* show: no number here is a cause, a grade or a
judgement of a person. Every function is held against published values, and its examples are run
whenever these pages are made.
"""


def pages() -> dict[str, str]:
    """A page for every module, the pictures on them, and the list.

    Raises:
        ValueError: A module or a picture without a place, or an example that fails.
    """
    modules = _modules()
    shown = {name: list(documented(module)) for name, module in modules.items()}
    functions = {one.name for some in shown.values() for one in some}
    astray = sorted(set(PICTURES) - functions)
    if astray:
        raise ValueError(f"pictures of functions that do not exist: {', '.join(astray)}")
    drawn = {name: draw() for name, draw in PICTURES.items()}
    found = {"statistics/index.md": _index(modules, shown)}
    for name, module in modules.items():
        found[f"statistics/{name}.md"] = _page(module, shown[name], drawn)
    return found | {path: text for name, spec in drawn.items() for path, text in _file(name, spec)}


def _modules() -> dict[str, ModuleType]:
    names = {one.name for one in pkgutil.iter_modules(witnessmark.stats.__path__)}
    placed = [name for some in QUESTIONS.values() for name in some]
    unplaced = sorted(name for name in names ^ set(placed) if not name.startswith("_"))
    if unplaced:
        raise ValueError(f"modules without a question, or the reverse: {', '.join(unplaced)}")
    return {name: importlib.import_module(f"witnessmark.stats.{name}") for name in placed}


def _index(modules: dict[str, ModuleType], shown: dict[str, list[Documented]]) -> str:
    parts = [INTRODUCTION]
    for question, names in QUESTIONS.items():
        rows = [
            (link(one.name, f"{name}.md#{one.name}"), one.summary, link(name, f"{name}.md"))
            for name in names
            for one in shown[name]
            if not one.is_class
        ]
        parts.append(f"## {question}")
        parts.append("\n".join(f"- {link(name, f'{name}.md')}: {_about(modules[name])}"
                               for name in names))  # fmt: skip
        parts.append(table(["function", "what it answers", "page"], rows))
    return page("Statistics", SOURCE, parts)


def _about(module: ModuleType) -> str:
    return (module.__doc__ or "").strip().partition("\n\n")[0].replace("\n", " ")


def _page(module: ModuleType, shown: list[Documented], drawn: dict[str, Spec]) -> str:
    name = module.__name__.rpartition(".")[2]
    functions = [one for one in shown if not one.is_class]
    results = [one for one in shown if one.is_class]
    parts = [(module.__doc__ or "").strip(), "[All statistics](index.md)"]
    for one in functions:
        parts += _function(module, one, drawn)
    if results:
        parts.append("## What comes back")
        parts += [part for one in results for part in _result(one)]
    return page(name.replace("_", " ").capitalize(), f"{SOURCE}{name}.py", parts)


def _function(module: ModuleType, one: Documented, drawn: dict[str, Spec]) -> Iterator[str]:
    yield f"## {one.name}"
    yield one.summary
    yield fence(one.signature, "python")
    yield one.prose
    if one.name in drawn:
        yield f"![{_alt(drawn[one.name])}](pictures/{one.name}.svg)"
    arguments = [(f"`{name}`", text) for name, text in one.items("Args")]
    if arguments:
        yield table(["argument", "what it is"], arguments)
    for heading in ("Returns", "Shapes", "Units", "Assumes", "Source"):
        if heading in one.sections:
            yield f"**{heading}.** {' '.join(one.sections[heading].split())}"
    refused = [text for _, text in one.items("Raises")]
    if refused:
        yield "**Refuses.** " + " ".join(refused)
    if "Examples" in one.sections:
        yield fence(run_examples(module, one), "pycon")


def _result(one: Documented) -> Iterator[str]:
    yield f"### {one.name}"
    yield one.summary
    yield one.prose
    fields = [(f"`{name}`", text) for name, text in one.items("Args")]
    if fields:
        yield table(["field", "what it is"], fields)


def _alt(spec: Spec) -> str:
    title: list[str] = spec["title"]["text"]
    return " ".join(title).replace("[", "(").replace("]", ")")


def _file(name: str, spec: Spec) -> Iterator[tuple[str, str]]:
    """The file of a picture as it is on disk where neither it nor its source has changed."""
    path = f"statistics/pictures/{name}.svg"
    rounded = _rounded(spec)
    source = _digest(json.dumps(rounded, sort_keys=True) + VEGA_LITE)
    known = DOCS / path
    if known.exists():
        text = known.read_text("utf-8")
        if text.startswith(_head(source, _digest(text.partition("\n")[2]))):
            yield path, text
            return
    body = svg(rounded) + "\n"
    yield path, _head(source, _digest(body)) + body


def _head(source: str, body: str) -> str:
    return f"{MADE} from {DRAWN_FROM}. Do not edit. Source {source}, picture {body}. -->\n"


def _digest(text: str) -> str:
    return blake2s(text.encode(), digest_size=8).hexdigest()


def _rounded(value: Any) -> Any:
    """The same with numbers cut to figures on which machines agree."""
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(one) for one in value]
    return float(f"{value:.{FIGURES}g}") if isinstance(value, float) else value

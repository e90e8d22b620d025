"""The parts of a Python module that a page shows: signatures, sections of docstrings, examples run.

Knows the headings of this project's docstrings and no statistic.
"""

import ast
import doctest
import inspect
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from types import ModuleType

HEADINGS = ("Args", "Returns", "Raises", "Shapes", "Units", "Assumes", "Source", "Examples")
SECTION = re.compile(rf"^({'|'.join(HEADINGS)}):\n", re.MULTILINE)
ITEM = re.compile(r"^(\*{0,2}\w+): +", re.MULTILINE)
WIDE = 88


@dataclass(frozen=True)
class Documented:
    """A public function or class with what its docstring says.

    Args:
        name: Its name.
        signature: Its call as the source writes it; of a class its name.
        summary: The first line.
        prose: What follows it, before the first heading.
        sections: Text under each heading, without its indent.
        is_class: Whether it is a class.
    """

    name: str
    signature: str
    summary: str
    prose: str
    sections: dict[str, str]
    is_class: bool

    def items(self, heading: str) -> list[tuple[str, str]]:
        """The entries under a heading that lists names, each with its text on one line."""
        text = self.sections.get(heading, "")
        starts = list(ITEM.finditer(text))
        ends = [start.start() for start in starts[1:]] + [len(text)] * bool(starts)
        return [
            (start.group(1), " ".join(text[start.end() : end].split()))
            for start, end in zip(starts, ends, strict=True)
        ]


def documented(module: ModuleType) -> Iterator[Documented]:
    """The public functions and classes of a module in the order of its source."""
    for node in ast.parse(inspect.getsource(module)).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            is_class = isinstance(node, ast.ClassDef)
            summary, prose, sections = _divided(ast.get_docstring(node) or "")
            signature = node.name if is_class else _signature(node)
            yield Documented(node.name, signature, summary, prose, sections, is_class)


def _divided(docstring: str) -> tuple[str, str, dict[str, str]]:
    before, *rest = SECTION.split(docstring)
    summary, _, prose = before.strip().partition("\n\n")
    bodies = zip(rest[::2], rest[1::2], strict=True)
    sections = {heading: inspect.cleandoc("\n" + body).strip() for heading, body in bodies}
    return " ".join(summary.split()), prose.strip(), sections


def _signature(node: ast.FunctionDef) -> str:
    """The call on one line where it fits, else one argument to a line."""
    given = node.args
    plain = [*given.posonlyargs, *given.args]
    defaults = [None] * (len(plain) - len(given.defaults)) + list(given.defaults)
    parts = [_argument(*pair) for pair in zip(plain, defaults, strict=True)]
    if given.kwonlyargs:
        parts.append("*")
        parts += [
            _argument(*pair) for pair in zip(given.kwonlyargs, given.kw_defaults, strict=True)
        ]
    result = ast.unparse(node.returns) if node.returns else "None"
    line = f"{node.name}({', '.join(parts)}) -> {result}"
    if len(line) <= WIDE:
        return line
    return f"{node.name}(\n" + "".join(f"    {part},\n" for part in parts) + f") -> {result}"


def _argument(argument: ast.arg, default: ast.expr | None) -> str:
    kind = f": {ast.unparse(argument.annotation)}" if argument.annotation else ""
    return f"{argument.arg}{kind}" + (f" = {ast.unparse(default)}" if default else "")


def run_examples(module: ModuleType, shown: Documented) -> str:
    """Runs the examples of a docstring and gives them with their output.

    Raises:
        ValueError: An example fails; the message is doctest's report.
    """
    text = shown.sections.get("Examples", "")
    where = f"{module.__name__}.{shown.name}"
    test = doctest.DocTestParser().get_doctest(text, dict(vars(module)), where, None, None)
    report = io.StringIO()
    runner = doctest.DocTestRunner(verbose=False)
    if runner.run(test, out=report.write).failed:
        raise ValueError(f"an example of {where} fails:\n{report.getvalue()}")
    return text

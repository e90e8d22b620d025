"""Small pieces of Markdown that the generated pages share."""

from collections.abc import Iterable, Sequence

MADE = "<!-- Made by scripts/make_docs.py"
"""How every generated page starts, and no other page."""


def page(title: str, source: str, parts: Iterable[str]) -> str:
    """A whole page: the note that it is generated, its title, and its parts, set apart."""
    note = f"{MADE} from {source}. Do not edit: change the source and run `make docs`. -->"
    return "\n\n".join([note, f"# {title}", *(part.strip() for part in parts if part)]) + "\n"


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table; a bar in a cell is escaped and a line break becomes a space."""
    lines = [_line(heads), _line(["---"] * len(heads)), *(_line(row) for row in rows)]
    return "\n".join(lines)


def _line(cells: Sequence[str]) -> str:
    flat = (" ".join(cell.split()).replace("|", "\\|") for cell in cells)
    return f"| {' | '.join(flat)} |"


def code(names: Iterable[str]) -> str:
    """Names in code type, separated by commas."""
    return ", ".join(f"`{name}`" for name in names)


def fence(text: str, language: str) -> str:
    """A block of code."""
    return f"```{language}\n{text.strip()}\n```"


def link(text: str, target: str) -> str:
    """A link whose text is in code type."""
    return f"[`{text}`]({target})"

"""The little markup that the prose of a record test uses, turned into safe HTML.

Paragraphs, bullet lists and `code`: no more, so that the same text reads well in its SQL file.
"""

import re

from markupsafe import Markup, escape

CODE = re.compile(r"`([^`]+)`")
BULLET = "- "


def to_html(prose: str) -> Markup:
    """Paragraphs and lists as HTML, everything else escaped."""
    return Markup("\n").join(_block(block) for block in _blocks(prose))


def first_sentence(prose: str) -> str:
    """The first sentence, as plain text on one line; quotation marks stay closed."""
    flat = " ".join(prose.replace("`", "").split()).removeprefix(BULLET)
    found = re.match(r'.+?[.?!]["\u201d]?(?=\s|$)', flat)
    return found.group(0) if found else flat


def _blocks(prose: str) -> list[list[str]]:
    """Lines that belong together: a paragraph, or a list with its continued lines."""
    blocks: list[list[str]] = [[]]
    for line in prose.strip().splitlines():
        bullet = line.lstrip().startswith(BULLET)
        in_list = bool(blocks[-1]) and blocks[-1][0].startswith(BULLET)
        if not line.strip():
            blocks.append([])
        elif bullet and not in_list:
            blocks.append([line.strip()])
        else:
            blocks[-1].append(line.strip())
    return [block for block in blocks if block]


def _block(lines: list[str]) -> Markup:
    if not lines[0].startswith(BULLET):
        return Markup("<p>{}</p>").format(_inline(" ".join(lines)))
    items: list[str] = []
    for line in lines:
        if line.startswith(BULLET):
            items.append(line.removeprefix(BULLET))
        else:
            items[-1] += f" {line}"
    return Markup("<ul>{}</ul>").format(
        Markup("").join(Markup("<li>{}</li>").format(_inline(item)) for item in items)
    )


def _inline(words: str) -> Markup:
    return Markup(CODE.sub(r"<code>\1</code>", str(escape(words))))  # noqa: S704 - escaped before

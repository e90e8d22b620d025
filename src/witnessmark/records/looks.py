"""What a column of an unknown export looks like, by its heading and its cells, with the reasons.

Pure: cells in, a description out. This module proposes; it decides nothing.
"""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from witnessmark.records.dates import prove_order
from witnessmark.records.heading_words import PERSON_WORDS, says
from witnessmark.records.numbers import prove_marks

Kind = Literal["blank", "date", "time", "date and time", "number", "words", "id", "text", "serial"]
FEW_WORDS = 12
NEARLY_ALL = 0.95
DATE = re.compile(r"\d{1,4}[./-]\d{1,2}[./-]\d{1,4}")
TIME = re.compile(r"\d{1,2}[:.]\d{2}([:.]\d{2})?")
NUMBER = re.compile(r"[+-]?[\d.,']*\d[\d.,']*-?")
LOST_DIGITS = re.compile(r"\d(\.\d+)?[eE]\+\d+")
SERIAL = re.compile(r"[34]\d{4}(\.\d+)?")


@dataclass(frozen=True)
class Look:
    """A column as it looks.

    Args:
        heading: Its heading.
        kind: What its cells look like.
        reasons: Why, and what is odd about it.
        form: Date format or decimal mark that its cells prove.
        undecided: What its cells leave open, with rows.
        words: Its different cells, if they are few.
        may_be_person: Whether its heading speaks of persons.
    """

    heading: str
    kind: Kind
    reasons: tuple[str, ...] = ()
    form: str | None = None
    undecided: str | None = None
    words: tuple[str, ...] = ()
    may_be_person: bool = False


def look_at(heading: str, cells: Sequence[tuple[int, str]]) -> Look:
    """What a column looks like.

    Args:
        heading: Its heading.
        cells: Row numbers and cells, blank ones left out.
    """
    person = says(heading, PERSON_WORDS) is not None
    look = _look_at(heading, cells, person)
    # What names a person is not shown, not even as an example.
    return replace(look, reasons=(), words=(), undecided=None) if person else look


def _look_at(heading: str, cells: Sequence[tuple[int, str]], person: bool) -> Look:
    if not cells:
        return Look(heading, "blank", ("every cell is blank",), may_be_person=person)
    if _share(cells, DATE) >= NEARLY_ALL:
        return _dated(heading, cells, person)
    if _share(cells, TIME) >= NEARLY_ALL and _whole(cells, TIME):
        return Look(heading, "time", (_example(cells, "times of day"),), may_be_person=person)
    if _has_leading_zeros(cells):
        reason = _example([c for c in cells if c[1].startswith("0")], "leading zeros, so an id")
        return Look(heading, "id", (reason,), may_be_person=person)
    if _share(cells, NUMBER) >= NEARLY_ALL and _whole(cells, NUMBER):
        return _numeric(heading, cells, person)
    return _worded(heading, cells, person)


def _share(cells: Sequence[tuple[int, str]], shape: re.Pattern[str]) -> float:
    return sum(1 for _, cell in cells if shape.match(cell)) / len(cells)


def _whole(cells: Sequence[tuple[int, str]], shape: re.Pattern[str]) -> bool:
    return sum(1 for _, cell in cells if shape.fullmatch(cell)) / len(cells) >= NEARLY_ALL


def _example(cells: Sequence[tuple[int, str]], what: str) -> str:
    row, cell = cells[0]
    return f'{what} (row {row}: "{cell}")'


def _has_leading_zeros(cells: Sequence[tuple[int, str]]) -> bool:
    return any(re.fullmatch(r"0\d+", cell) for _, cell in cells) and all(
        re.fullmatch(r"\d+", cell) for _, cell in cells
    )


def _dated(heading: str, cells: Sequence[tuple[int, str]], person: bool) -> Look:
    tokens: dict[str, int] = {}
    for row, cell in cells:
        found = DATE.match(cell)
        if found is not None:
            tokens.setdefault(found.group(), row)
    has_time = sum(1 for _, cell in cells if TIME.search(cell[6:])) / len(cells) >= NEARLY_ALL
    kind: Kind = "date and time" if has_time else "date"
    proof = prove_order([(row, token) for token, row in tokens.items()])
    odd = [cell for cell in cells if not DATE.match(cell[1])]
    reasons = [_example(odd, "not a date everywhere")] if odd else []
    if proof.open_rows:
        rows = ", ".join(f'row {row} "{text}"' for row, text in proof.open_rows[:3])
        forms = " or ".join(proof.forms)
        text = f"the date order may be {forms}; no row proves it: {rows}"
        return Look(heading, kind, tuple(reasons), None, text, may_be_person=person)
    if not proof.forms:
        rows = ", ".join(f'row {row} "{text}"' for row, text in list(proof.witnesses.values())[:3])
        text = f"no one date order fits all rows: {rows}"
        return Look(heading, kind, tuple(reasons), None, text, may_be_person=person)
    form = proof.forms[0]
    against = [
        f'row {row} "{text}" proves that it is not {other}'
        for other, (row, text) in proof.witnesses.items()
        if len(other) == len(form) and other.startswith("MM") != form.startswith("MM")
    ]
    return Look(heading, kind, (*reasons, *against[:1]), form, may_be_person=person)


def _numeric(heading: str, cells: Sequence[tuple[int, str]], person: bool) -> Look:
    if _whole(cells, SERIAL):
        text = f'{_example(cells, "may be serial dates")}: then say format = "serial" and the epoch'
        return Look(heading, "serial", (), None, text, may_be_person=person)
    shapes: dict[str, tuple[int, str]] = {}
    for row, cell in cells:
        shapes.setdefault(re.sub(r"[1-9]", "9", cell), (row, cell))
    proof = prove_marks(shapes.values())
    lost = [cell for cell in cells if LOST_DIGITS.fullmatch(cell[1])]
    reasons = [_example(lost, "an id that lost its digits")] if lost else []
    if proof.form is None:
        rows = ", ".join(f'row {row} "{text}"' for row, text in proof.open_rows[:3])
        text = f"the decimal mark cannot be told from the thousands mark: {rows}"
        return Look(heading, "number", tuple(reasons), None, text, may_be_person=person)
    telling = [c for c in cells if proof.form.decimal in c[1]]
    if telling:
        reasons.append(_example(telling, f'decimal mark "{proof.form.decimal}"'))
    form = proof.form.decimal if telling else None
    return Look(heading, "number", tuple(reasons), form, may_be_person=person)


def _worded(heading: str, cells: Sequence[tuple[int, str]], person: bool) -> Look:
    counts = Counter(cell for _, cell in cells)
    if len(counts) <= FEW_WORDS and len(counts) < max(2, len(cells) / 2):
        words = tuple(word for word, _ in counts.most_common())
        shown = ", ".join(
            f'"{word}" {count} times' for word, count in counts.most_common(FEW_WORDS)
        )
        reason = f"few different words: {shown}"
        return Look(heading, "words", (reason,), words=words, may_be_person=person)
    if len(counts) == len(cells) and len(cells) > 1:
        return Look(heading, "id", ("no two rows are the same",), may_be_person=person)
    return Look(heading, "text", may_be_person=person)

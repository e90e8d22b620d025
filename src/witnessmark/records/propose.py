"""A draft mapping.toml for an unknown export, with a reason beside every line.

The draft is a proposal for a person to correct: it names what it could not decide and never hides
it behind a guess. This module reads one file and writes nothing.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from witnessmark.records.heading_words import TIME_OF_DAY, canonical_guesses, says
from witnessmark.records.looks import Look, look_at
from witnessmark.records.persons import PERSONAL
from witnessmark.records.samples import Sample, Shape, shape_of, take_sample
from witnessmark.records.table import Column, Table
from witnessmark.records.tables import TABLES

SHOWN = 5
KINDS: dict[str, tuple[str, ...]] = {
    "instant": ("date and time", "date", "serial"),
    "date": ("date", "date and time", "serial"),
    "int": ("number", "blank"),
    "decimal": ("number", "blank"),
    "bool": ("words", "number", "blank"),
    "text": ("words", "id", "text", "number", "blank"),
    "list": ("words", "text", "blank"),
}
"""Which looks a canonical type may have."""


@dataclass(frozen=True)
class Guess:
    """A heading proposed for a canonical column, and the word of the heading that says so."""

    column: Column
    look: Look
    word: str
    time: Look | None = None


def propose(path: Path) -> str:
    """A draft mapping for one export.

    Args:
        path: The file as the plant wrote it.

    Returns:
        TOML with comments.

    Raises:
        UnusableInputError: It is no export that can be read.
    """
    sample = take_sample(path)
    shape = shape_of(sample)
    looks = [look_at(heading, _cells(shape, place)) for place, heading in enumerate(shape.headings)]
    table, guesses = _best_table(looks)
    lines = [*_head(sample), *_reading(sample, shape, looks), *_feed(table, guesses, looks)]
    return "\n".join(lines) + "\n"


def _cells(shape: Shape, place: int) -> list[tuple[int, str]]:
    return [
        (row, cells[place].strip())
        for row, cells in shape.data
        if place < len(cells) and cells[place].strip()
    ]


def _best_table(looks: Sequence[Look]) -> tuple[Table, list[Guess]]:
    """The table whose needed columns the headings name best."""

    def fit(table: Table) -> tuple[float, int]:
        guesses = {guess.column.name for guess in _guesses(table, looks)}
        needed = {column.name for column in table.columns if not column.optional}
        return len(guesses & needed) / len(needed) + len(guesses) / len(looks), len(guesses)

    known = [table for table in TABLES.values() if table.name not in ("extracts", "clocks")]
    best = max(known, key=fit)
    return best, _guesses(best, looks)


def _guesses(table: Table, looks: Sequence[Look]) -> list[Guess]:
    """At most one heading per column and one column per heading; longer words first."""
    found = [
        (len(word), -place, Guess(column, look, word))
        for place, look in enumerate(looks)
        for name, word in canonical_guesses(look.heading).items()
        for column in table.columns
        if column.name == name and look.kind in KINDS[column.type]
    ]
    guesses: list[Guess] = []
    for _, _, guess in sorted(found, key=lambda item: item[:2], reverse=True):
        taken = {other.column.name for other in guesses}
        used = {other.look.heading for other in guesses}
        if guess.column.name not in taken and guess.look.heading not in used:
            guesses.append(guess)
    order = [column.name for column in table.columns]
    guesses = [_with_time(guess, looks) for guess in guesses]
    return sorted(guesses, key=lambda guess: order.index(guess.column.name))


def _with_time(guess: Guess, looks: Sequence[Look]) -> Guess:
    """The time of day in the next column, where a date stands alone."""
    if guess.column.type != "instant" or guess.look.kind != "date":
        return guess
    place = [look.heading for look in looks].index(guess.look.heading)
    beside = looks[place + 1] if place + 1 < len(looks) else None
    if beside is not None and beside.kind == "time":
        return Guess(guess.column, guess.look, guess.word, beside)
    return guess


def _head(sample: Sample) -> Iterator[str]:
    yield f"# A draft for {sample.name}. Every line is a guess with its reason: correct it, then"
    yield "# remove what you have settled. `witnessmark freeze` reads it as mapping.toml."
    for remark in sample.remarks:
        yield f"# NOT DECIDED: {_comment(remark)}"
    if len(sample.sheets) > 1:
        yield f"# Sheets: {_comment(', '.join(sample.sheets))}; this one holds most cells."
    yield ""


def _reading(sample: Sample, shape: Shape, looks: Sequence[Look]) -> Iterator[str]:
    yield "[[source]]"
    yield f"file = {_text(sample.name)}"
    if sample.sheet is not None:
        yield f"sheet = {_text(sample.sheet)}"
    yield '# system = ""  # which system it was pulled from; "paper" for sheets typed in by hand'
    yield "# period = [2026-01-01, 2026-03-31]  # what the extract claims to cover"
    if sample.encoding is not None:
        why = {
            "utf-8": "every byte is UTF-8",
            "utf-8-sig": "it begins with the mark of UTF-8",
            "cp1252": "it has bytes that are no UTF-8, and all are Windows-1252",
        }.get(sample.encoding, "zeros stand beside plain letters")
        yield f"encoding = {_text(sample.encoding)}  # {why}"
    if sample.delimiter is not None:
        yield f"delimiter = {_text(sample.delimiter)}  # it cuts most lines into the same number"
    if shape.header_row > 1:
        yield f"header_row = {shape.header_row}  # the first row that names most columns in words"
    if shape.repeats:
        yield f"# The header comes again {shape.repeats} times; such rows are left out anyway."
    yield from _skipped(shape)
    yield from _forms(looks)
    yield ""


def _skipped(shape: Shape) -> Iterator[str]:
    for row in shape.doubtful[:SHOWN]:
        yield f"# NOT DECIDED: row {row} has few filled cells. Is it data?"
    if not shape.skipped:
        return
    yield "skip_rows_where = ["
    for kind, pattern, row in shape.skipped:
        yield f"    {{ kind = {_text(kind)}, matches = {_text(pattern)} }},  # such as row {row}"
    yield "]"


def _forms(looks: Sequence[Look]) -> Iterator[str]:
    """Date order and decimal mark of the file, where its columns agree."""
    for name, kinds in (("dates", ("date", "date and time")), ("decimal", ("number",))):
        of_kind = [look for look in looks if look.kind in kinds]
        proved = {look.form: look for look in of_kind if look.form is not None}
        if len(proved) == 1:
            form, look = next(iter(proved.items()))
            reason = "; ".join(look.reasons) or "every date fits"
            yield f"{name} = {_text(form or '')}  # {_comment(look.heading)}: {_comment(reason)}"
        elif len(proved) > 1:
            shown = ", ".join(f"{look.heading}: {form}" for form, look in proved.items())
            yield f"# NOT DECIDED: {name} differ by column: {_comment(shown)}"
        for look in of_kind:
            if look.undecided is None:
                continue
            if len(proved) == 1:
                yield f"#   {_comment(look.heading)} leaves it open and is read in the same way."
            else:
                yield f"# NOT DECIDED: {_comment(look.heading)}: {_comment(look.undecided)}"
    for look in looks:
        if look.kind == "serial":
            yield f"# NOT DECIDED: {_comment(look.heading)}: {_comment(look.undecided or '')}"


def _feed(table: Table, guesses: Sequence[Guess], looks: Sequence[Look]) -> Iterator[str]:
    yield "[[source.feed]]"
    shown = ", ".join(f'"{guess.look.heading}"' for guess in guesses) or "no heading"
    yield f"table = {_text(table.name)}  # {_comment(shown)} fit it best"
    times = {guess.column.name for guess in guesses} & {"done_at", "entered_at"}
    if len(times) == 1:
        yield "# NOT DECIDED: one time only. It happened then (done), or was typed then (entered)?"
        yield f'time_is = "{times.pop().removesuffix("_at")}"'
    for look in looks:
        if look.words and look.heading not in {g.look.heading for g in guesses}:
            yield f"# only_where = {{ {_text(look.heading)} = {_text(look.words[0])} }}"
            yield "#   (rows of several kinds feed several tables, each in its own [[source.feed]])"
            break
    yield ""
    yield "[source.feed.columns]"
    for guess in guesses:
        yield from _column(table, guess)
    missing = [
        column
        for column in table.columns
        if not column.optional and column.name not in {guess.column.name for guess in guesses}
    ]
    for column in missing:
        source = '"<row>"' if column.key and column.type == "text" else "..."
        yield f"# NOT DECIDED: {column.name} is needed, and no heading says it. {column.about}"
        yield f"# {column.name} = {source}"
    yield from _left_over(guesses, looks)


def _column(table: Table, guess: Guess) -> Iterator[str]:
    name, look = guess.column.name, guess.look
    reason = f'"{guess.word}" in the heading' + "".join(f"; {text}" for text in look.reasons[:1])
    if name in PERSONAL.get(table.name, frozenset()):
        yield f"# {name} = {{ from = {_text(look.heading)}, pseudonym = true }}"
        yield "#   It may name persons. A pseudonym needs a basis in plant.toml; else use"
        yield '#   place_of = "<heading of the machine>", or leave it out.'
        return
    words = [word for word in look.words if word not in guess.column.words]
    if guess.column.words and words:
        mapped = ", ".join(f'{_text(word)} = ""' for word in words)
        choice = ", ".join(guess.column.words)
        yield f'# NOT DECIDED: which of {choice} each word is ("" is nothing).'
        yield f"{name} = {{ from = {_text(look.heading)}, values = {{ {mapped} }} }}"
        return
    source = _text(look.heading)
    if guess.time is not None:
        source = f"[{_text(look.heading)}, {_text(guess.time.heading)}]"
        reason += "; the time of day stands beside it"
    yield f"{name} = {source}  # {_comment(reason)}"


def _left_over(guesses: Sequence[Guess], looks: Sequence[Look]) -> Iterator[str]:
    used = {guess.look.heading for guess in guesses}
    used |= {guess.time.heading for guess in guesses if guess.time is not None}
    rest = [look for look in looks if look.heading not in used]
    if not rest:
        return
    yield ""
    yield "# Not used:"
    for look in rest:
        person = "; may name persons" if look.may_be_person else ""
        about = "; ".join((look.kind, *look.reasons[:1]))
        clock = ", a time of day" if says(look.heading, TIME_OF_DAY) else ""
        yield f"#   {_comment(look.heading)}: {_comment(about)}{clock}{person}"


def _text(text: str) -> str:
    """A TOML string: literal where that reads better, escaped where it must be."""
    if "\\" in text and "'" not in text and text.isprintable():
        return f"'{text}'"
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    escaped = re.sub(r"[\x00-\x1f\x7f]", lambda found: f"\\u{ord(found.group()):04x}", escaped)
    return f'"{escaped}"'


def _comment(text: str) -> str:
    """A text on one line, without characters that TOML forbids in comments."""
    return re.sub(r"[\x00-\x08\x0a-\x1f\x7f]+", " ", text)

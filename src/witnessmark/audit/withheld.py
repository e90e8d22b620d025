"""Which events a sealed file withholds: those of protected sources, and what would reveal them.

A statement that was ever marked protected stays so. Withheld are the statement with its
corrections, every event that points at it or at its texts (its answers, its evidence links), and
every event whose words repeat a run of its words. A trail that started from it stays, with an id
that leads nowhere: it is the auditor's own proposition. This module changes nothing.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from witnessmark.audit.catalogue import catalogue
from witnessmark.audit.event import Event

QUOTED = 5
"""Words in a row that count as a quotation; of a shorter statement, all of them."""
LEAST_QUOTED = 3
WORD = re.compile(r"\w+")
HEARD = "statement-heard"
INFORMED = "trail-opened"
Reveal = Callable[[str], str | None]
Run = tuple[str, ...]


def withheld(events: Sequence[Event], reveal: Reveal) -> dict[str, str]:
    """Ids of the events to withhold, each with why, in words.

    Args:
        events: All of an audit, in the order of the journal.
        reveal: Gives the text of a mark, or None.
    """
    roots = {_root(event) for event in events if _is_protected(event)}
    own = [event for event in events if event.kind == HEARD and _root(event) in roots]
    found = {event.id: "the words of a protected source" for event in own}
    marks = {mark for event in own for mark in marks_of(event)}
    pointed = roots | marks | set(found)
    runs = [run for mark in sorted(marks) if (run := _words(reveal(mark) or ""))]
    for event in events:
        if event.id in found:
            continue
        if event.kind != INFORMED and not pointed.isdisjoint(_texts(event.as_json())):
            found[event.id] = "it points at a protected source"
        elif any(_quotes(words, run) for words in _said(event, reveal) for run in runs):
            found[event.id] = "it repeats words of a protected source"
    return found


def repeats(text: str, statements: Iterable[str]) -> bool:
    """Whether a text repeats a run of words of any of these statements, as `withheld` judges it."""
    words = _words(text)
    return any(_quotes(words, _words(statement)) for statement in statements)


def marks_of(event: Event) -> list[str]:
    """The marks of an event's sealed texts."""
    action = catalogue().get(event.kind)
    sealed = action.sealed if action else ()
    return [mark for name in sealed if isinstance(mark := event.body.get(name), str) and mark]


def _is_protected(event: Event) -> bool:
    return event.kind == HEARD and event.body.get("protected") is True


def _root(event: Event) -> str:
    return event.supersedes or event.id


def _texts(value: object) -> Iterator[str]:
    """Every text in a JSON value, keys too."""
    match value:
        case str():
            yield value
        case Mapping():
            for key, item in value.items():
                yield str(key)
                yield from _texts(item)
        case list() | tuple():
            for item in value:
                yield from _texts(item)


def _said(event: Event, reveal: Reveal) -> Iterator[Run]:
    for text in _texts(event.body):
        yield _words(text)
    for mark in marks_of(event):
        yield _words(reveal(mark) or "")


def _words(text: str) -> Run:
    return tuple(WORD.findall(text.casefold()))


def _quotes(words: Run, run: Run) -> bool:
    """Whether words hold a run of the statement's words, long enough to be told again."""
    if len(run) < LEAST_QUOTED:
        return False
    size = min(QUOTED, len(run))
    wanted = {run[at : at + size] for at in range(len(run) - size + 1)}
    return any(words[at : at + size] in wanted for at in range(len(words) - size + 1))

"""Outcomes kept beside their freeze, whole, so that pages and reports read them without a run.

The file says with which version and under which digests it was made; a run makes it anew. This
module knows no report.
"""

from collections.abc import Iterable, Sequence
from dataclasses import fields
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

import msgspec

import witnessmark
from witnessmark.errors import UnusableInputError, Where
from witnessmark.record_tests.outcome import Outcome

NAME = "outcomes.json"


class Kept(msgspec.Struct):
    """What the file holds."""

    tool_version: str
    outcomes: list[Outcome]


def keep(outcomes: Iterable[Outcome], folder: Path) -> Path:
    """Writes outcomes into a freeze's folder; whoever looks sees the old or the whole new file."""
    path = folder / NAME
    draft = folder / f".{NAME}"
    kept = Kept(witnessmark.__version__, [_plain_rows(outcome) for outcome in outcomes])
    draft.write_bytes(msgspec.json.encode(kept, enc_hook=str))
    draft.replace(path)
    return path


def load_kept(folder: Path) -> tuple[Outcome, ...]:
    """The outcomes of a freeze; none where no run has been kept.

    Raises:
        UnusableInputError: The file is not as it was written.
    """
    path = folder / NAME
    if not path.exists():
        return ()
    try:
        return tuple(msgspec.json.decode(path.read_bytes(), type=Kept).outcomes)
    except (msgspec.DecodeError, UnicodeError) as error:
        raise UnusableInputError.one(
            Where(NAME), f"this is not as it was written: {error}.", mend="Run the tests again."
        ) from error


def _plain_rows(outcome: Outcome) -> Outcome:
    told = {field.name: getattr(outcome, field.name) for field in fields(outcome)}
    rows = tuple({name: _plain(value) for name, value in row.items()} for row in outcome.rows)
    return Outcome(**told | {"rows": rows})


def _plain(value: object) -> object:
    """A value as JSON has it: times and decimals as they are printed."""
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="seconds")
    if isinstance(value, date | Decimal):
        return str(value)
    if isinstance(value, Sequence):
        return [_plain(item) for item in value]
    return str(value)

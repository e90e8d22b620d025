"""The thresholds in force: the plant's own from criteria.toml, defaults for the rest.

All faults of a file are listed at once. This module knows no test and no record.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path

from witnessmark.criteria.keys import KEYS, Key
from witnessmark.errors import Fault, UnusableInputError, Where

FORM = '[late_entry_min]\nvalue = 20\ndocument = "WI-07 rev 3, 4.2"'


@dataclass(frozen=True)
class Criterion:
    """One threshold in force.

    Args:
        key: Its declaration.
        value: In the key's unit.
        source: The plant's document, or where the default comes from.
        is_default: Whether the plant stated nothing.
    """

    key: Key
    value: Decimal
    source: str
    is_default: bool


@dataclass(frozen=True)
class Criteria:
    """All thresholds in force, by name of their key."""

    in_force: Mapping[str, Criterion]

    def parameters(self) -> dict[str, int | Decimal]:
        """Values by SQL parameter name, durations in integer seconds."""
        return {
            item.key.parameter: item.key.as_parameter(item.value) for item in self.in_force.values()
        }

    def by_parameter(self, parameter: str) -> Criterion:
        """The threshold behind an SQL parameter.

        Raises:
            KeyError: There is none.
        """
        for item in self.in_force.values():
            if item.key.parameter == parameter:
                return item
        raise KeyError(parameter)

    def with_value(self, name: str, value: Decimal) -> "Criteria":
        """The same, with one threshold changed: for sensitivity."""
        old = self.in_force[name]
        changed = Criterion(old.key, value, old.source, old.is_default)
        return Criteria({**self.in_force, name: changed})


def default_criteria() -> Criteria:
    """Every threshold at its default."""
    return Criteria({key.name: _default(key) for key in KEYS.values()})


def load_criteria(path: Path) -> Criteria:
    """Reads criteria.toml; a file that is not there leaves every default in force.

    Args:
        path: The file.

    Raises:
        UnusableInputError: Anything in it that is not a known key with a fitting value and its
            document, all such faults at once.
    """
    if not path.exists():
        return default_criteria()
    try:
        stated = tomllib.loads(path.read_text(encoding="utf-8-sig"), parse_float=Decimal)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise UnusableInputError.one(Where(path.name), f"not readable as TOML: {error}.") from error
    return criteria_from(stated, path.name)


def criteria_from(stated: Mapping[str, object], file: str) -> Criteria:
    """Thresholds from parsed TOML; see `load_criteria`."""
    faults: list[Fault] = []
    in_force = {key.name: _default(key) for key in KEYS.values()}
    for name, entry in stated.items():
        where = Where(file, column=name)
        key = KEYS.get(name)
        if key is None:
            faults.append(
                Fault(where, "no such criterion.", mend="See docs/reference/criteria.md.")
            )
        elif not isinstance(entry, dict) or set(entry) != {"value", "document"}:
            faults.append(Fault(where, "a criterion has a value and its document.", FORM))
        elif (value := read_value(key, entry["value"])) is None:
            faults.append(Fault(where, f'"{entry["value"]}" is no {key.kind}.', _expected(key)))
        else:
            in_force[name] = Criterion(key, value, str(entry["document"]), is_default=False)
    if faults:
        raise UnusableInputError(faults)
    return Criteria(in_force)


def read_value(key: Key, written: object) -> Decimal | None:
    """The value of a key as written, or None where it does not fit."""
    if isinstance(written, bool) or not isinstance(written, str | int | Decimal):
        return None
    try:
        value = Decimal(written)
    except InvalidOperation:
        return None
    if not value.is_finite() or value < 0:
        return None
    if key.kind == "share":
        return value if value <= 1 else None
    if key.kind in {"count", "days"} and value != value.to_integral_value():
        return None
    return value


def _expected(key: Key) -> str:
    return {
        "minutes": "minutes, 0 or more",
        "share": "a share from 0 to 1 (5 % is 0.05)",
        "count": "a whole number, 0 or more",
        "days": "whole days, 0 or more",
    }[key.kind]


def _default(key: Key) -> Criterion:
    return Criterion(key, key.default, key.source, is_default=True)

"""A TOML file as a typed record, with every fault of the file at once.

What a file may hold is a msgspec struct; what it does hold is compared field by field, so that the
user mends a file once and not once per mistake. This module knows no particular file.
"""

import tomllib
import types
from collections.abc import Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

import msgspec

from witnessmark.errors import Fault, UnusableInputError, Where

Record = TypeVar("Record", bound=msgspec.Struct)


def read_toml(path: Path) -> dict[str, Any]:
    """The contents of a TOML file.

    Raises:
        UnusableInputError: It is no text or no TOML; says the line.
    """
    where = Where(path.name)
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except UnicodeDecodeError as error:
        raise UnusableInputError.one(
            where, "this is not a text file in UTF-8.", mend="Save it again as UTF-8."
        ) from error
    except tomllib.TOMLDecodeError as error:
        raise UnusableInputError.one(
            where, f"this is not TOML: {error}.", 'lines such as name = "value"'
        ) from error


def fill(data: Mapping[str, Any], kind: type[Record], where: Where) -> Record:
    """The record that the data describe.

    Args:
        data: As read from the file.
        kind: What the file may hold.
        where: The file, for messages.

    Raises:
        UnusableInputError: Unknown keys, missing keys and values that do not fit, all at once.
    """
    faults: list[Fault] = []
    values = _fields(data, kind, where, "", faults)
    if faults:
        raise UnusableInputError(faults)
    return msgspec.convert(values, kind)


def _fields(
    data: Mapping[str, Any],
    kind: type[msgspec.Struct],
    where: Where,
    place: str,
    faults: list[Fault],
) -> dict[str, Any]:
    fields = {field.encode_name: field for field in msgspec.structs.fields(kind)}
    hints = get_type_hints(kind, include_extras=True)
    for name in data:
        if name not in fields:
            near = get_close_matches(name, fields, n=1)
            mend = f"Did you mean {near[0]}?" if near else f"Known: {', '.join(fields)}."
            faults.append(Fault(where, f'{place}"{name}" is no known key.', mend=mend))
    kept = {}
    for name, field in fields.items():
        if name in data:
            kept[name] = _value(data[name], hints[field.name], where, f"{place}{name}: ", faults)
        elif field.required:
            faults.append(Fault(where, f'{place}the key "{name}" is missing.'))
    return kept


def _value(value: Any, hint: Any, where: Where, place: str, faults: list[Fault]) -> Any:
    struct = _struct_in(hint)
    if struct is not None and isinstance(value, dict):
        return _fields(value, struct, where, place, faults)
    origin, arguments = _plain(hint)
    if origin in (list, tuple) and isinstance(value, list) and _struct_in(arguments[0]):
        return [
            _value(item, arguments[0], where, f"{place[:-2]} {number}: ", faults)
            for number, item in enumerate(value, 1)
        ]
    if origin is dict and isinstance(value, dict) and _struct_in(arguments[1]):
        return {
            name: _value(item, arguments[1], where, f"{place[:-2]}.{name}: ", faults)
            for name, item in value.items()
        }
    try:
        msgspec.convert(value, hint, strict=True)
    except msgspec.ValidationError as error:
        faults.append(Fault(where, f"{place}{value!r} does not fit.", _expected(hint, str(error))))
    return value


def _plain(hint: Any) -> tuple[Any, tuple[Any, ...]]:
    """Origin and arguments of a generic type, one level of "or nothing" taken off."""
    if isinstance(hint, types.UnionType) or get_origin(hint) is Union:
        rest = [item for item in get_args(hint) if item is not type(None)]
        if len(rest) == 1:
            return _plain(rest[0])
    return get_origin(hint), get_args(hint)


def _struct_in(hint: Any) -> type[msgspec.Struct] | None:
    """The one struct that a type may be, if any."""
    members = (
        get_args(hint)
        if isinstance(hint, types.UnionType) or get_origin(hint) is Union
        else (hint,)
    )
    for member in members:
        if isinstance(member, type) and issubclass(member, msgspec.Struct):
            return member
    return None


def _expected(hint: Any, said: str) -> str:
    described = [m.description for m in getattr(hint, "__metadata__", ()) if m.description]
    if described:
        return str(described[0])
    origin, arguments = _plain(hint)
    if origin is Literal:
        return "one of " + ", ".join(str(word) for word in arguments)
    return said.removeprefix("Expected ").split(" - at ")[0].replace("`", "")

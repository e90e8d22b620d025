"""All actions, found in `actions/`: adding one is adding its file.

This module knows how to find and read them, not what they do.
"""

import pkgutil
from collections.abc import Mapping
from functools import cache
from importlib import import_module
from typing import Any

import msgspec

from witnessmark.audit import actions
from witnessmark.audit.action import Action, Creation
from witnessmark.audit.event import BrokenEventError


@cache
def catalogue() -> Mapping[str, type[Action]]:
    """Every action by its kind, in alphabetical order."""
    found: dict[str, type[Action]] = {}
    for module in pkgutil.iter_modules(actions.__path__):
        for value in vars(import_module(f"{actions.__name__}.{module.name}")).values():
            if isinstance(value, type) and issubclass(value, Action) and hasattr(value, "kind"):
                found[value.kind] = value
    return dict(sorted(found.items()))


def read_action(kind: str, body: Mapping[str, Any]) -> Action | None:
    """The action of an event; None where this version does not know the kind.

    Raises:
        BrokenEventError: A known kind with fields that it does not have, or lacks.
    """
    action = catalogue().get(kind)
    if action is None:
        return None
    try:
        return msgspec.convert(body, action)
    except msgspec.ValidationError as error:
        raise BrokenEventError(
            f"The event {kind} does not hold what it should: {error}."
        ) from error


def corrects(kind: str) -> bool:
    """Whether events of this kind may supersede an item."""
    action = catalogue().get(kind)
    return action is not None and issubclass(action, Creation)

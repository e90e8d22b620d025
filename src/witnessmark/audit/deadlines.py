"""Until when a finding is answered: editable profiles, calendar days from the closing meeting.

The profiles that ship carry how sure they are; a plant's file replaces or adds profiles. Dates
close nothing: a finding closes on verified effect. This module knows no audit and no clock.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any

import msgspec

from witnessmark.audit.cited import Grade
from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.records.toml_file import fill, read_toml

SHIPPED = "deadlines.toml"
AT_ONCE = "containment at once"
GRADES = ("minor", "major")


class Step(msgspec.Struct, frozen=True):
    """One step of a profile.

    Args:
        key: Its short name.
        grades: Grades that it binds.
        text: What is due.
        days: Calendar days from the closing meeting.
        mark: Where the number comes from.
    """

    key: str
    text: str
    days: Annotated[int, msgspec.Meta(ge=0)]
    grades: list[str]
    mark: str = "plant"


class Profile(msgspec.Struct, frozen=True):
    """A set of steps with its title."""

    title: str
    steps: list[Step]
    note: str = ""


@dataclass(frozen=True)
class Due:
    """One date.

    Args:
        key: Short name of the step.
        text: What is due.
        on: The day, the last on which it is in time.
        mark: Where the number of days comes from.
    """

    key: str
    text: str
    on: date
    mark: str


def profiles(path: Path | None = None) -> dict[str, Profile]:
    """All profiles by name: those that ship, replaced and completed by the user's file.

    Args:
        path: The plant's own file in the form of the one that ships.

    Raises:
        UnusableInputError: The file cannot be used; everything that is wrong, at once.
    """
    shipped = tomllib.loads((files("witnessmark.audit") / SHIPPED).read_text("utf-8"))
    known = _read(shipped, Where(SHIPPED))
    return known if path is None else known | _read(read_toml(path), Where(path.name))


def due_dates(
    profile: str,
    grade: Grade,
    closing_day: date,
    suspect_product: bool = False,
    path: Path | None = None,
) -> tuple[Due, ...]:
    """What is due when, the earliest first; nothing for what is no nonconformity.

    Args:
        profile: Its name.
        grade: Of the finding.
        closing_day: Day of the closing meeting, in the plant's zone.
        suspect_product: Whether suspect product may have left: containment is due at once.
        path: The plant's own file.

    Raises:
        UnusableInputError: No such profile, or one without steps for a nonconformity.
    """
    known = profiles(path)
    chosen = known.get(profile)
    if chosen is None or not chosen.steps:
        what = "there is no such profile" if chosen is None else "the profile has no steps"
        raise UnusableInputError.one(
            Where(path.name if path else SHIPPED),
            f"{profile}: {what}.",
            "one of " + ", ".join(name for name, item in known.items() if item.steps),
            "Choose another, or state the plant's own steps in a file.",
        )
    if grade not in GRADES:
        return ()
    found = [
        Due(step.key, step.text, closing_day + timedelta(days=step.days), step.mark)
        for step in chosen.steps
        if grade in step.grades
    ]
    if suspect_product:
        said = "Suspect product may have left: contain it, inform by the plant's own route"
        found.append(Due(AT_ONCE, said, closing_day, "at once"))
    return tuple(sorted(found, key=lambda due: (due.on, due.key != AT_ONCE, due.key)))


def written_due(dues: tuple[Due, ...]) -> dict[str, str]:
    """Step to date, as an issued finding keeps them."""
    return {f"{due.text} ({due.mark})": due.on.isoformat() for due in dues}


def _read(data: Mapping[str, Any], where: Where) -> dict[str, Profile]:
    faults: list[Fault] = []
    found = {}
    for name, entry in data.items():
        place = Where(where.file, sheet=None, column=name)
        if not isinstance(entry, dict):
            faults.append(Fault(place, "this is no profile.", f"a table [{name}]"))
            continue
        try:
            profile = fill(entry, Profile, place)
        except UnusableInputError as error:
            faults.extend(error.faults)
            continue
        found[name] = profile
        faults.extend(_unfit(profile, place))
    if faults:
        raise UnusableInputError(faults)
    return found


def _unfit(profile: Profile, where: Where) -> list[Fault]:
    """Steps that bind no grade, or one that is none."""
    return [
        Fault(where, f'step "{step.key}" has the grades {step.grades}.', "minor, major or both")
        for step in profile.steps
        if not step.grades or not set(step.grades) <= set(GRADES)
    ]

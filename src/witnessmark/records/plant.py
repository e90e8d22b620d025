"""What plant.toml says of the plant: its zone, its day, on what basis persons may be recorded.

Settings that intake and record tests share. This module knows no record.
"""

from datetime import date
from pathlib import Path
from typing import Annotated, Literal
from zoneinfo import ZoneInfo

import msgspec

from witnessmark.errors import UnusableInputError, Where
from witnessmark.records.toml_file import fill, read_toml
from witnessmark.records.zones import zone_of

PersonBasis = Literal["places", "allocations", "profiling"]
FILE = "plant.toml"
CLOCK = r"^([01]\d|2[0-3]):[0-5]\d$"
FORM = 'zone = "Europe/Berlin"'


class Plant(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The plant's settings.

    Args:
        zone: IANA name of the time zone of the plant's clocks.
        name: What the paper calls the plant; empty for the folder's name.
        production_day: Local time at which a production day begins.
        person_basis: How far persons may be recorded: as places only, as pseudonyms in
            allocations, or with tests per person.
        small_group: Groups smaller than this are merged in what leaves the auditor's desk.
        period_from: First day that the records are meant to cover.
        period_to: Last such day.
        neighbours: Pairs of areas that one person can attend together.
    """

    zone: str
    name: str = ""
    production_day: Annotated[
        str, msgspec.Meta(pattern=CLOCK, description="a local time such as 06:00")
    ] = "00:00"
    person_basis: PersonBasis = "places"
    small_group: Annotated[int, msgspec.Meta(ge=1, description="a number from 1")] = 5
    period_from: date | None = None
    period_to: date | None = None
    neighbours: tuple[tuple[str, str], ...] = ()

    @property
    def zone_info(self) -> ZoneInfo:
        """The zone itself."""
        return zone_of(self.zone, Where(FILE))


def load_plant(folder: Path) -> Plant:
    """The settings in plant.toml of a folder.

    Args:
        folder: The folder that holds the plant's exports.

    Raises:
        UnusableInputError: No file, no zone, unknown keys, values that do not fit; all at once.
    """
    path = folder / FILE
    if not path.is_file():
        raise UnusableInputError.one(
            Where(FILE),
            f"there is none in {folder.name or folder}, so the plant's time zone is unknown.",
            mend=f"Write it with at least one line: {FORM}",
        )
    where = Where(FILE)
    plant = fill(read_toml(path), Plant, where)
    zone_of(plant.zone, where)
    if plant.period_from and plant.period_to and plant.period_to < plant.period_from:
        raise UnusableInputError.one(where, "period_to lies before period_from.")
    return plant

"""What a contradiction between sight and records may mean: a proposition and its innocent rival.

One trail for each kind of contradiction of an observation, not one for each machine. Both readings
are fair: what was seen is one moment, and records are made for other ends. This module asks no
records.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from witnessmark.audit.actions.compare_observation import CompareObservation
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.cited import Cited
from witnessmark.audit.items import Observation


@dataclass(frozen=True)
class Reading:
    """Two readings of one kind of contradiction, and what would separate them."""

    proposition: str
    rival: str
    clauses: tuple[str, ...]
    next_step: str


PRESENCE = Reading(
    "The records do not show who attends the machines.",
    "Somebody had just been moved or was on relief, and the records follow later.",
    ("A 5.3.2", "Q 7.5.3"),
    "Ask the shift leader where a move is written down; look again on the next round.",
)
STATE = Reading(
    "The records do not show when the machines run.",
    "The stop or start was shorter than what the records keep, or is entered later.",
    ("A 9.1.1.1", "Q 7.5.3"),
    "Read the control's own list of stops for this hour.",
)
READINGS: Mapping[tuple[str, str], Reading] = {
    ("staffing", "grid"): PRESENCE,
    ("machine-state", "presence"): PRESENCE,
    ("machine-state", "state"): STATE,
    ("round", "grid"): STATE,
    ("machine-state", "part_no"): Reading(
        "The records do not show which part runs.",
        "The change of part is booked when the set-up is released, not when it is made.",
        ("Q 8.5.2", "A 8.5.2.1"),
        "Compare the order at the machine with the booking of the change.",
    ),
    ("counter", "pieces"): Reading(
        "More or fewer pieces are made than the records count.",
        "The counter counts something else (cycles, bars), or was read at another machine.",
        ("A 8.5.2.1", "Q 7.5.3"),
        "Ask what the counter counts, and take a third reading.",
    ),
    ("last-check", "checked_at"): Reading(
        "Checks on the sheet are not in the records.",
        "The check stands under another machine, part or line, or was not in the extract.",
        ("Q 7.5.3", "A 9.1.1.1"),
        "Take the sheet and look for its last three checks in the source system.",
    ),
    ("last-check", "result"): Reading(
        "The result in the records is not the one on the sheet.",
        "The sheet keeps the first look, the record the decision after a repeat.",
        ("Q 7.5.3", "Q 8.5.1 c"),
        "Ask how a repeated check is written on the sheet.",
    ),
    ("last-check", "later"): Reading(
        "Checks are recorded for times at which they did not stand on the sheet.",
        "The sheet that was seen is not the one the records are made from, or is filled at the "
        "end of a round.",
        ("Q 7.5.3", "Q 8.5.1 c"),
        "Ask to see how a check gets from the gauge into the record; look at the entry times.",
    ),
    ("board", "colour"): Reading(
        "The colour that is kept is not the one on the board.",
        "The board was being updated, or shows another day or shift.",
        ("Q 9.1.1", "A 9.1.3.1"),
        "Ask who sets the colour, from which figure, and when.",
    ),
    ("board", "later"): Reading(
        "A colour is changed after the day's meeting.",
        "The rule provides for a correction once the day's figures are complete.",
        ("Q 9.1.1", "A 9.1.3.1"),
        "Read the board's rule on late figures, and the reason written with the change.",
    ),
    ("hold-area", "lots"): Reading(
        "Lots in the hold area are not on hold in the records.",
        "They are held by container or machine, under another number, or were decided on and not "
        "yet moved.",
        ("A 8.7.1.3", "Q 8.7.1"),
        "Ask for the hold list, and for the last lot that left the area.",
    ),
}


def trails_of(
    observation: Observation, against: Sequence[CompareObservation]
) -> tuple[OpenTrail, ...]:
    """Proposed trails for the contradictions of one observation; nothing is opened.

    Args:
        observation: What was seen.
        against: The comparisons that contradict it.
    """
    kinds: dict[str, list[CompareObservation]] = {}
    for action in against:
        kinds.setdefault(action.field_name.partition("/")[0], []).append(action)
    return tuple(_trail(observation, kind, actions) for kind, actions in kinds.items())


def _trail(observation: Observation, kind: str, actions: Sequence[CompareObservation]) -> OpenTrail:
    reading = READINGS[observation.form, kind]
    which = [action.field_name.partition("/")[2] for action in actions]
    named = ", ".join(name for name in which if name) or observation.machine or observation.place
    where = f" Seen: {named}." if named else ""
    return OpenTrail(
        proposition=reading.proposition + where,
        rival=reading.rival,
        origin=Cited("observation", id=observation.id),
        clauses=reading.clauses,
        highest_grade="minor",
        next_step=reading.next_step,
    )

"""Each structured observation held against frozen records of that moment.

Within the tolerance of the clocks it agrees; outside the period, or where the records do not know,
it is not assessable, with the reason. A contradiction proposes a trail with its innocent rival.
Nothing is appended here: the actions are handed back. This module knows no clock.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from witnessmark.audit.actions.compare_observation import CompareObservation
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.compare_counter import see_counter
from witnessmark.audit.compare_machine import see_machine_state, see_round, see_staffing
from witnessmark.audit.compare_paper import see_board, see_hold_area, see_last_check
from witnessmark.audit.contradictions import trails_of
from witnessmark.audit.event import moment_of
from witnessmark.audit.items import Observation
from witnessmark.audit.look import Look, Verdict
from witnessmark.audit.records_then import RecordsThen
from witnessmark.audit.state import AuditState
from witnessmark.timeline.build import Timeline


@dataclass(frozen=True)
class Compared:
    """What the records say to an observation, ready to be appended.

    Args:
        actions: One for each answer of the form that could be compared or not.
        proposed: A trail for each kind of contradiction.
    """

    actions: tuple[CompareObservation, ...]
    proposed: tuple[OpenTrail, ...]


def compare(
    state: AuditState, observation: Observation, timeline: Timeline, freeze: str
) -> Compared:
    """Holds an observation against the records of a freeze.

    Args:
        state: The audit; earlier readings of the same counter stand in it.
        observation: Of any form; a free one gives nothing.
        timeline: The derived tables of the freeze.
        freeze: Its identity.
    """
    form = _FORMS.get(observation.form)
    if form is None or not observation.seen_at:
        return Compared((), ())
    records = RecordsThen(timeline, freeze)
    verdicts = list(form(Look(state, observation, records, moment_of(observation.seen_at))))
    actions = tuple(
        CompareObservation(
            observation=observation.id,
            freeze=freeze,
            field_name=verdict.field,
            result=verdict.result,
            seen=verdict.seen,
            recorded=verdict.recorded,
            rows=verdict.rows,
        )
        for verdict in verdicts
    )
    against = [action for action in actions if action.result == "contradicts"]
    return Compared(actions, trails_of(observation, against))


def compare_all(state: AuditState, timeline: Timeline, freeze: str) -> Compared:
    """The same for every observation that was not yet held against this freeze."""
    found = [
        compare(state, item, timeline, freeze)
        for item in state.observations.values()
        if not any(known.freeze == freeze for known in item.compared)
    ]
    return Compared(
        tuple(action for one in found for action in one.actions),
        tuple(trail for one in found for trail in one.proposed),
    )


_FORMS: Mapping[str, Callable[[Look], Iterator[Verdict]]] = {
    "staffing": see_staffing,
    "round": see_round,
    "machine-state": see_machine_state,
    "counter": see_counter,
    "last-check": see_last_check,
    "board": see_board,
    "hold-area": see_hold_area,
}

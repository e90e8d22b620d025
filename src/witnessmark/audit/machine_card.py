"""The card of a machine: the questions to ask there, with what is known and how old that is.

What was seen today stands before what is recorded; what no record tells says so. Nothing on it is
a verdict. This moment is an argument.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from witnessmark.audit.event import written
from witnessmark.audit.handover_card import extract_until
from witnessmark.audit.records_now import MachineNow
from witnessmark.audit.records_then import RecordsThen
from witnessmark.audit.seen_today import age_min, latest_sights, said_age
from witnessmark.audit.state import AuditState
from witnessmark.timeline.build import Timeline

Source = Literal["seen today", "recorded", "not in the records", "no extract of the day"]
QUESTIONS = {
    "set-up": "When was it last set up, and for what?",
    "release": "Who released it, when, on which evidence?",
    "last check": "When was the last check, and what did it say?",
    "next due": "Which check is due next, and who makes it?",
    "holds": "What is on hold from this machine, and where does it lie?",
    "gauges": "Which gauges are used, and until when are they in date?",
    "answerable": "Who answers for this machine at this minute?",
    "state": "What does it do now, and who attends it?",
    "counter": "What does the counter show?",
}
"""Common practice, no source."""
OF_ASPECT = {
    "check": "last check", "lots": "holds", "presence": "answerable", "state": "state",
    "pieces": "counter",
}  # fmt: skip
GAUGES_SHOWN = 5


@dataclass(frozen=True)
class Answer:
    """One thing known to a question.

    Args:
        question: Key of `QUESTIONS`.
        text: What is known, or that nothing is.
        at: Since when, or when it was seen, in the journal's form; empty where nothing is.
        age_min: Minutes since then; None likewise.
        source: Where it is from.
        item: Id of the observation; empty for a record.
    """

    question: str
    text: str
    at: str
    age_min: int | None
    source: Source
    item: str = ""

    @property
    def sentence(self) -> str:
        """The line as it is printed."""
        if self.age_min is None:
            return f"{self.text} ({self.source})" if self.text else f"{self.source.capitalize()}."
        return f"{self.text} ({self.source}, {said_age(self.age_min)})"


@dataclass(frozen=True)
class MachineCard:
    """A machine's card.

    Args:
        machine: The machine.
        answers: By question in the order of `QUESTIONS`, seen today before recorded.
        extract_until: Until when the records reach; empty without an extract of the day.
        notes: What limits the card.
    """

    machine: str
    answers: tuple[Answer, ...]
    extract_until: str
    notes: tuple[str, ...]

    def to(self, question: str) -> tuple[Answer, ...]:
        """The answers to one question."""
        return tuple(answer for answer in self.answers if answer.question == question)


def machine_card(
    state: AuditState, now: datetime, machine: str, timeline: Timeline | None = None
) -> MachineCard:
    """The card of a machine at this minute.

    Args:
        state: The audit.
        now: This moment, aware.
        machine: As the records name it.
        timeline: Of a same-day extract; None for what was seen alone.
    """
    found = list(_seen(state, now, machine))
    until, notes = None, ["No extract of the day: only what was seen."]
    if timeline is not None:
        records = RecordsThen(timeline, "")
        until = extract_until(records, now)
        known = MachineNow(records, machine, until or now)
        if known.machine_ix is None:
            notes = [f"The records do not know machine {machine}."]
        else:
            notes = _notes(records, until, now)
            found += _recorded(known, now)
    answered = {answer.question for answer in found}
    nothing: Source = "no extract of the day" if timeline is None else "not in the records"
    open_ones = [q for q in QUESTIONS if q not in answered and q not in {"state", "counter"}]
    found += [Answer(question, "", "", None, nothing) for question in open_ones]
    order = list(QUESTIONS)
    found.sort(key=lambda answer: (order.index(answer.question), answer.source != "seen today"))
    return MachineCard(machine, tuple(found), written(until) if until else "", tuple(notes))


def _seen(state: AuditState, now: datetime, machine: str) -> Iterator[Answer]:
    for sight in latest_sights(state, now).values():
        if sight.machine == machine and sight.aspect in OF_ASPECT:
            question = OF_ASPECT[sight.aspect]
            text = f"{sight.word} pieces" if sight.aspect == "pieces" else sight.word
            age = age_min(now, sight.at)
            yield Answer(question, text, written(sight.at), age, "seen today", sight.observation)


def _recorded(known: MachineNow, now: datetime) -> Iterator[Answer]:
    local = known.records.local

    def told(question: str, text: str, at: datetime) -> Answer:
        return Answer(question, text, written(at), age_min(now, at), "recorded")

    set_up = known.set_up()
    if set_up is not None:
        yield told("set-up", f"{set_up.setup_id} for {set_up.part}", set_up.start_at)
        if set_up.released_at is not None:
            yield told("release", f"released {local(set_up.released_at)}", set_up.released_at)
        else:
            said = f"no release of {set_up.setup_id} recorded"
            yield Answer("release", said, "", None, "not in the records")
    check = known.last_check()
    if check is not None:
        check_id, kind, result, done_at = check
        yield told("last check", f"{kind} {check_id}: {result}", done_at)
    for due in (known.due() or [])[:1]:
        yield told("next due", _due_said(due.line, due.basis, due.left_min), due.since)
    for hold_id, qty, placed_at in known.holds():
        yield told("holds", f"{hold_id}: {qty} pieces", placed_at)
    gauges = known.gauges()
    if gauges:
        shown = "; ".join(
            f"{item.gauge_id} until {item.next_due or 'a day not recorded'}"
            for item in gauges[:GAUGES_SHOWN]
        )
        more = f"; {len(gauges) - GAUGES_SHOWN} more" if len(gauges) > GAUGES_SHOWN else ""
        yield told("gauges", shown + more, known.at)
    for role, basis, count, since in known.answerable(now):
        several = f"{count} × " if count > 1 else ""
        yield told("answerable", f"{several}{role} ({basis})", since)


def _due_said(line: str, basis: str, left_min: int) -> str:
    of = "of running" if basis == "running-time" else "by the clock"
    if left_min < 0:
        return f"line {line}: interval over by {-left_min} min {of}, without grace"
    return f"line {line}: in {left_min} min {of}"


def _notes(records: RecordsThen, until: datetime | None, now: datetime) -> list[str]:
    if until is None:
        return ["The records hold nothing that happened before now."]
    age = said_age(age_min(now, until))
    return [f"Recorded until {records.local(until)}, {age}: the card is as of then."]

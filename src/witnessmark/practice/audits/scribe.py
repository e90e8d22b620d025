"""Writes an audit as its auditor would have: one action after the other, each at its time."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from witnessmark.audit.act import Desk
from witnessmark.audit.action import Action
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.cited import Bearing, Cited
from witnessmark.audit.event import written
from witnessmark.audit.people import Actor
from witnessmark.practice.shift_calendar import ZONE

WRITING_S = 40
"""What one entry takes; two entries never bear the same second."""


@dataclass
class Scribe:
    """Somebody who writes into one audit.

    Args:
        desk: Where; its clock is replaced by the scribe's.
        audit: UUID.
        actor: As whom.
        moment: The scribe's clock.
    """

    desk: Desk
    audit: str
    actor: Actor
    moment: datetime

    def __post_init__(self) -> None:
        self.desk = replace(self.desk, clock=lambda: self.moment)

    def at(self, local: str) -> "Scribe":
        """Sets the clock to a time of the plant, as 2026-10-13 05:24."""
        self.moment = datetime.fromisoformat(local).replace(tzinfo=ZONE).astimezone(UTC)
        return self

    def go_to(self, moment: datetime) -> "Scribe":
        """Sets the clock to an instant."""
        self.moment = moment.astimezone(UTC)
        return self

    def do(self, action: Action, **texts: str) -> str:
        """Does an action and gives the id of what it made.

        Args:
            action: What to do.
            texts: Plain texts of its sealed fields.
        """
        received = self.desk.act(self.audit, self.actor, action, texts)
        self.moment += timedelta(seconds=WRITING_S)
        return received.event.id if received.event else ""

    def lay(
        self, trail: str, pieces: Iterable[tuple[Cited, Bearing, str]], outside: bool = False
    ) -> None:
        """Lays evidence on a trail.

        Args:
            trail: Its id.
            pieces: What, which way it points, and the group of what is not independent of it.
            outside: Whether it was not made by the function that is audited.
        """
        for cited, bears, group in pieces:
            self.do(
                LinkEvidence(
                    trail=trail,
                    cited=cited,
                    bears=bears,
                    group=group,
                    by_audited_function=not outside,
                )
            )


def instant(local: str) -> str:
    """A time of the plant as the journal writes it."""
    return written(datetime.fromisoformat(local).replace(tzinfo=ZONE))


def local_day(moment: datetime) -> str:
    """The plant's day of an instant."""
    return moment.astimezone(ZONE).date().isoformat()

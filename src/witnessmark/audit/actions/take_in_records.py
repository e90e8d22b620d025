"""Frozen records are taken into the audit."""

from typing import ClassVar, Literal

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.items import Freeze
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class TakeInRecords(Action, frozen=True, kw_only=True):
    """Names a freeze by its identity; the Parquet files lie with the installation.

    Args:
        purpose: What for: the audit itself, a day's extract, or the period after an action.
    """

    kind: ClassVar = "records-taken-in"
    does: ClassVar = "take in records"
    allowed: ClassVar[Allowed] = DESK

    freeze: str
    period: str = ""
    purpose: Literal["audit", "same day", "verification"] = "audit"
    tool_version: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """Once each."""
        if self.freeze in state.freezes:
            raise RefusedError("These records are in this audit already.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Keeps the freeze under its identity."""
        state.freezes.setdefault(
            self.freeze,
            Freeze(
                **stamp.base,
                freeze=self.freeze,
                period=self.period,
                purpose=self.purpose,
                tool_version=self.tool_version,
            ),
        )

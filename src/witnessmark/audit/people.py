"""Who may do what: roles, and how far a right reaches. Names of people stand in no journal.

This module knows no accounts.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from witnessmark.errors import WitnessmarkError


class Role(StrEnum):
    """What an account is in one audit."""

    OWNER = "programme-owner"
    LEAD = "lead-auditor"
    AUDITOR = "auditor"
    AUDITEE = "auditee"
    OBSERVER = "observer"


Reach = Literal["any", "own"]
"""`own`: only where the item is one's own, or (for an auditee) is addressed to oneself."""

Allowed = dict[Role, Reach]
DESK: Allowed = {Role.LEAD: "any", Role.AUDITOR: "any"}
"""Work of the audit team."""
LEAD_ONLY: Allowed = {Role.LEAD: "any"}
OWN_WORK: Allowed = {Role.LEAD: "any", Role.AUDITOR: "own"}
"""What an auditor may change only where it is their own."""


@dataclass(frozen=True)
class Actor:
    """An account acting in one audit.

    Args:
        user: Code of the account, as it stands in events.
        role: Its role in this audit.
    """

    user: str
    role: Role


class NotAllowedError(WitnessmarkError):
    """An action that the actor's role does not have, or not on what is another's."""

    def __init__(self, actor: Actor, action: str, own: bool) -> None:
        ending = " that is not their own" if own else ""
        super().__init__(f"The role {actor.role.value} may not {action}{ending}.")


class RefusedError(WitnessmarkError):
    """An action that the state of the audit does not admit; says what to do first."""

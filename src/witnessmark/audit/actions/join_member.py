"""An account joins the audit in a role, with independence and competence where it audits."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.items import Member
from witnessmark.audit.people import Actor, Allowed, RefusedError, Role
from witnessmark.audit.state import AuditState


class JoinMember(Action, frozen=True, kw_only=True):
    """Gives an account its role in this audit, or changes it.

    Args:
        user: Code of the account.
        role: One of the roles, as its word.
        function: What they are, as it is printed: "process auditor", "team leader, turning".
        independence: Why they do not audit their own work; asked of auditors.
        competence: What they can show for this process; asked of auditors.
    """

    kind: ClassVar = "member-joined"
    does: ClassVar = "say who takes part"
    allowed: ClassVar[Allowed] = {Role.OWNER: "any", Role.LEAD: "any"}

    user: str
    role: str
    function: str = ""
    independence: str = ""
    competence: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """A known role; auditors with their independence stated; never no lead at all."""
        roles = [role.value for role in Role]
        if self.role not in roles:
            raise RefusedError(f"{self.role!r} is no role. Expected one of {', '.join(roles)}.")
        if self.role in {Role.LEAD, Role.AUDITOR} and not self.independence.strip():
            raise RefusedError("State why this auditor is independent of what is audited.")
        others = [m for m in state.members.values() if m.user != self.user]
        if (
            state.members
            and self.role != Role.LEAD
            and not any(member.role == Role.LEAD for member in others)
        ):
            raise RefusedError("An audit needs a lead auditor; let another one join first.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """The last role of an account stands."""
        state.members[self.user] = Member(
            **stamp.base,
            user=self.user,
            role=self.role,
            function=self.function,
            independence=self.independence,
            competence=self.competence,
        )

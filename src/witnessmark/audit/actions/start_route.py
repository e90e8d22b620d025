"""The plant's own information route for suspect product is started, at once."""

from typing import ClassVar

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.items import Route
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class StartRoute(Action, frozen=True, kw_only=True):
    """Keeps whom the plant's route names, and when they were informed. The plant decides.

    Args:
        product: Lots and quantity, as suspect, never as defective.
        informed_role: Role that the plant's own route names.
        deputy_role: Its deputy, where the role could not be reached.
        informed_at: When.
    """

    kind: ClassVar = "route-started"
    does: ClassVar = "inform the plant of suspect product"
    allowed: ClassVar[Allowed] = DESK

    finding: str
    product: str
    informed_role: str
    deputy_role: str = ""
    informed_at: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """Somebody was informed of something."""
        state.need(state.findings, self.finding, "finding")
        if not self.product.strip() or not self.informed_role.strip():
            raise RefusedError("Say which product is suspect, and which role was informed.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Adds the step; the finding concerns suspect product from now on."""
        if finding := state.findings.get(self.finding):
            route = Route(
                **stamp.base,
                product=self.product,
                informed_role=self.informed_role,
                deputy_role=self.deputy_role,
                informed_at=self.informed_at or stamp.at,
            )
            finding.routes.append(route)
            finding.suspect_product = True

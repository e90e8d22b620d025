"""The effect of an action is verified by the same test on a new period."""

from typing import ClassVar

from msgspec import structs

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.items import Verification
from witnessmark.audit.people import DESK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class VerifyFinding(Action, frozen=True, kw_only=True):
    """Keeps before and after with their exposure, and the verdict of the statistics.

    Args:
        slug: The record test that was run again.
        before_freeze: Records of the finding.
        after_freeze: Records of the new period.
        exposure: What exposure is: "due checks", "running hours".
        verdict: Of `stats`: effective, not shown yet, no effect, too early to say.
        text: The sentence that is printed.
    """

    kind: ClassVar = "finding-verified"
    does: ClassVar = "verify the effect of an action"
    allowed: ClassVar[Allowed] = DESK

    finding: str
    slug: str
    before_freeze: str
    after_freeze: str
    exposure: str
    before_x: int
    before_exposure: float
    after_x: int
    after_exposure: float
    verdict: str
    text: str

    def check(self, state: AuditState, actor: Actor) -> None:
        """The finding is issued, and both freezes are in this audit."""
        finding = state.need(state.findings, self.finding, "finding")
        if finding.state not in {"issued", "closed"}:
            raise RefusedError("Only an issued finding is verified.")
        for freeze in (self.before_freeze, self.after_freeze):
            if freeze not in state.freezes:
                raise RefusedError(f"The records {freeze} are not in this audit.")
        if self.before_freeze == self.after_freeze:
            raise RefusedError("Verification needs records of a new period.")

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Adds it."""
        if finding := state.findings.get(self.finding):
            told = {k: v for k, v in structs.asdict(self).items() if k != "finding"}
            finding.verifications.append(Verification(**stamp.base, **told))

"""A finding is drafted: one requirement, facts, extent, consequence."""

from typing import ClassVar

from witnessmark.audit.action import DECIDES, Creation, Stamp
from witnessmark.audit.cited import Fact, Requirement
from witnessmark.audit.items import Finding, Written
from witnessmark.audit.people import OWN_WORK, Actor, Allowed, RefusedError
from witnessmark.audit.state import AuditState


class DraftFinding(Creation, frozen=True, kw_only=True):
    """Drafts a finding, or words it anew; an issued one is not changed.

    Args:
        statement: What was not met, in one sentence: no cause, no remedy, no person.
        facts: Each x of n, period, how selected.
        consequence: What followed, or "none found, looked until ...".
        suspect_product: Whether suspect product may have left or be about to.
        rival_excluded: How the innocent reading was excluded.
        containment_asked_at: When containment was asked for.
    """

    kind: ClassVar = "finding-drafted"
    does: ClassVar = "draft a finding"
    allowed: ClassVar[Allowed] = OWN_WORK
    phase: ClassVar = DECIDES
    collection: ClassVar = "findings"

    trail: str = ""
    requirement: Requirement
    process: str = ""
    place: str = ""
    statement: str
    facts: tuple[Fact, ...] = ()
    extent: str = ""
    consequence: str = ""
    suspect_product: bool = False
    rival_excluded: str = ""
    containment_asked_at: str = ""

    def check(self, state: AuditState, actor: Actor) -> None:
        """It has a sentence, and its trail exists."""
        if self.trail:
            state.need(state.trails, self.trail, "trail")
        if not self.statement.strip():
            raise RefusedError("Write down what was not met.")
        cited = {fact.cited.id for fact in self.facts if fact.cited is not None}
        if any(state.statements[id_].protected for id_ in cited & set(state.statements)):
            raise RefusedError("A protected source informs a trail only; no finding may cite it.")

    def check_correction(self, old: Written) -> None:
        """What is issued stands; a finding is withdrawn, not reworded."""
        if isinstance(old, Finding) and old.state not in {"draft", "graded"}:
            raise RefusedError(f"The finding is {old.state}; its words stand.")

    def build(self, stamp: Stamp) -> Finding:
        """The finding."""
        told = {k: getattr(self, k) for k in self.__struct_fields__}
        return Finding(**stamp.base, **told)

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """Numbers a new one; an issued or closed one stays as it was issued."""
        old = state.findings.get(stamp.supersedes)
        if old is not None and old.state not in {"draft", "graded"}:
            return
        super().apply(state, stamp)
        new: Written | None = state.findings.get(stamp.supersedes or stamp.id)
        if isinstance(new, Finding):
            new.number = old.number if old else len(state.findings)
            new.versions = len(new.history) + 1
            new.state = "draft"

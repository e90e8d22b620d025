"""Evidence that lies on no trail yet: what the spine reminds of, and the lists filter by."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from witnessmark.audit.cited import Cited
from witnessmark.audit.items import Comparison, Observation, Statement
from witnessmark.web.desk.audit_page import AuditPage


@dataclass(frozen=True)
class Contradiction:
    """Something seen that the records of that moment do not show."""

    observation: Observation
    comparison: Comparison


class OnNoTrail:
    """What the viewer may see and no trail holds."""

    def __init__(self, page: AuditPage) -> None:
        self._page = page

    @cached_property
    def ids(self) -> set[str]:
        """Ids of the items that lie on a trail, or from which one started."""
        return {cited.id for cited in self._cited() if cited.id}

    @cached_property
    def results(self) -> set[tuple[str, str]]:
        """Freeze and slug of the record tests that lie on a trail, whole or in part."""
        return {(cited.freeze, cited.slug) for cited in self._cited() if cited.freeze}

    @cached_property
    def unanswered(self) -> list[Statement]:
        """Statements that nothing has answered."""
        return [item for item in self._page.statements if not item.answers]

    @cached_property
    def statements(self) -> list[Statement]:
        """Statements on no trail."""
        return [item for item in self._page.statements if item.id not in self.ids]

    @cached_property
    def observations(self) -> list[Observation]:
        """Observations on no trail."""
        seen = self._page.state.observations.values()
        return [item for item in seen if item.id not in self.ids]

    @cached_property
    def contradictions(self) -> list[Contradiction]:
        """Observations that the records contradict, on no trail."""
        return [
            Contradiction(item, compared)
            for item in self.observations
            for compared in item.compared
            if compared.result == "contradicts"
        ]

    @property
    def is_empty(self) -> bool:
        """Whether nothing lies about."""
        return not (self.unanswered or self.observations)

    def _cited(self) -> Iterable[Cited]:
        for trail in self._page.state.trails.values():
            if trail.origin is not None:
                yield trail.origin
            for link in trail.evidence:
                yield link.cited

"""What the notebook knows of its audit: to work with while nothing else is at hand.

It holds no statement and no finding, only what helps to write: machines, roles, promises, rules.
"""

from collections.abc import Iterable

from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_safe

from witnessmark.audit.act import now
from witnessmark.audit.event import written
from witnessmark.audit.state import AuditState
from witnessmark.audit.vague import as_json
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit

ROLES = (
    "operator", "setter", "shift leader", "quality technician", "planner", "maintenance",
    "logistics", "process owner",
)  # fmt: skip
WINDOWS = ("next handover", "end of shift", "leaves for the day", "before the next set-up")


@require_safe
@in_audit(roles=TEAM)
def known(request: HttpRequest, page: AuditPage) -> JsonResponse:
    """The audit as the notebook keeps it."""
    return JsonResponse(
        {
            "user": page.actor.user,
            "at": written(now()),
            **of_audit(page.state),
            "vague": as_json(),
        }
    )


def of_audit(state: AuditState) -> dict[str, object]:
    """Everything of the audit that helps to write."""
    opening, scope, rules = state.opening, state.scope, state.site_rules
    heard = [item for item in state.statements.values() if not item.protected]
    seen = list(state.observations.values())
    return {
        "title": opening.title,
        "process": opening.process,
        "site": opening.site,
        "zone": opening.zone,
        "language": opening.language,
        "rules": {
            "photos": rules.photos,
            "danger_role": rules.danger_role,
            "safety": rules.safety,
        },
        "remembered": {
            "role": _once([*(item.role for item in reversed(heard)), *ROLES]),
            "place": _once([*scope.areas, *(i.place for i in heard), *(i.place for i in seen)]),
            "machine": _once([*scope.machines, *(item.machine for item in seen)]),
            "shift": _once(scope.shifts),
            "window": list(WINDOWS),
        },
        "promises": [
            {
                "id": item.id,
                "what": item.what,
                "with_role": item.with_role,
                "place": item.place,
                "latest": item.latest,
                "window": item.window,
            }
            for item in state.promises.values()
            if item.outcome is None
        ],
        "handovers": [
            {"at": item.starts_at, "what": item.what, "place": item.place}
            for item in state.appointments.values()
            if item.kind == "handover" and not item.dropped
        ],
    }


def _once(words: Iterable[str]) -> list[str]:
    """Each word once, in order, without empty ones."""
    return list(dict.fromkeys(word for word in words if word))

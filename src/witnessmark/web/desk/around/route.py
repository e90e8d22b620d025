"""Suspect product: whom the plant's own route names, who acknowledged, what the plant decided."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponseBase
from django.views.decorators.http import require_http_methods

from witnessmark.audit.actions.acknowledge_route import AcknowledgeRoute
from witnessmark.audit.actions.start_route import StartRoute
from witnessmark.web.desk.around.asking import ask
from witnessmark.web.desk.around.fields import LineField, TextField
from witnessmark.web.desk.around.findings import asked_of, finding_of
from witnessmark.web.desk.audit_page import TEAM, AuditPage, in_audit
from witnessmark.web.desk.moments import LocalMomentField

INFORMS = "The auditor informs, the plant decides. Notice to customers is the plant’s."
TOLD_FIRST = f"Tell them first, then write it down. {INFORMS}"


class RouteForm(forms.Form):
    """Which product, whom, when."""

    product = TextField(
        label="Suspect product",
        help_text="Lots and quantity, and where it is as far as known. Suspect, never more.",
    )
    informed_role = LineField(
        label="Role informed", help_text="The role that the plant’s own route names."
    )
    deputy_role = LineField(
        label="Deputy", required=False, help_text="Where the role could not be reached."
    )

    def __init__(self, page: AuditPage, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        self.fields["informed_at"] = LocalMomentField(
            zone=page.zone, label="When", required=False, help_text="Empty for now."
        )


class DecidedForm(forms.Form):
    """Who acknowledged, and what the plant decided."""

    role = LineField(label="Acknowledged by", help_text="By role.")
    decided = TextField(
        label="What the plant decided",
        required=False,
        help_text="In the plant’s words: held, recalled from the truck, sorted, nothing.",
    )


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=TEAM)
def start(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Asks whom the plant's route names."""
    item = finding_of(page, finding)
    form = RouteForm(page, request.POST or None)
    asked = asked_of(
        page, item, "Inform the plant of suspect product", "The plant is informed",
        "It is kept that the plant was informed.", TOLD_FIRST,
    )  # fmt: skip
    return ask(
        request, page, form, asked, lambda told: StartRoute(finding=item.id, **told), finding=item
    )


@require_http_methods(["GET", "POST"])
@in_audit(tab="findings", roles=TEAM)
def acknowledge(request: HttpRequest, page: AuditPage, finding: object) -> HttpResponseBase:
    """Asks who acknowledged, and what the plant decided."""
    item = finding_of(page, finding)
    form = DecidedForm(request.POST or None)
    asked = asked_of(page, item, "The plant’s answer", "Keep it", "It is kept.", INFORMS)
    return ask(
        request, page, form, asked, lambda told: AcknowledgeRoute(finding=item.id, **told),
        finding=item,
    )  # fmt: skip

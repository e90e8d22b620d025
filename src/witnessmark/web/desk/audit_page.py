"""What every page of an audit stands on: which audit, who looks, what they may see and do.

Views are written as `view(request, page, ...)` under `in_audit`; a change is made by `page.do`.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import wraps
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponseBase

from witnessmark.audit.act import now
from witnessmark.audit.action import Action, permit
from witnessmark.audit.items import Statement
from witnessmark.audit.journal import Received
from witnessmark.audit.people import Actor, NotAllowedError, RefusedError, Role
from witnessmark.audit.state import AuditState
from witnessmark.web.accounts.models import User
from witnessmark.web.store.desk import STATES, STORE, actor_of, desk

TEAM = frozenset({Role.LEAD, Role.AUDITOR})
READERS = TEAM | {Role.OWNER, Role.OBSERVER}
EVERYBODY = READERS | {Role.AUDITEE}

AuditView = Callable[..., HttpResponseBase]


@dataclass
class AuditPage:
    """One audit as one account sees it now.

    Args:
        id: UUID of the audit.
        state: As it is; shared, so read only.
        actor: Who looks.
        tab: Which tab is the present one.
    """

    id: str
    state: AuditState
    actor: Actor
    user: User
    tab: str = ""
    _texts: dict[str, str | None] = field(default_factory=dict)

    @property
    def zone(self) -> ZoneInfo:
        """The plant's time zone, in which every page shows time."""
        return ZoneInfo(self.state.opening.zone)

    @property
    def now(self) -> datetime:
        """This moment, aware, UTC."""
        return now()

    @property
    def is_team(self) -> bool:
        """Whether a lead auditor or auditor looks; they alone see protected sources."""
        return self.actor.role in TEAM

    @property
    def statements(self) -> list[Statement]:
        """Statements that the viewer may see."""
        every = self.state.statements.values()
        return [item for item in every if self.is_team or not item.protected]

    def reveal(self, mark: str) -> str | None:
        """The text of a mark; None where it was destroyed."""
        if not mark:
            return ""
        return self._texts[mark] if mark in self._texts else STORE.reveal(mark)

    def foresee(self, marks: Iterable[str]) -> None:
        """Reads the texts that a page is about to show in one look instead of one by one."""
        self._texts |= STORE.reveal_all({mark for mark in marks if mark})

    def may(self, action: type[Action]) -> bool:
        """Whether the viewer's role has the action at all; buttons are shown by it."""
        return self.actor.role in action.allowed

    def may_on(self, action: Action, supersedes: str = "") -> bool:
        """Whether the viewer may do exactly this."""
        try:
            permit(action, self.state, self.actor, supersedes)
        except NotAllowedError:
            return False
        return True

    def do(
        self,
        action: Action,
        texts: Mapping[str, str] | None = None,
        supersedes: str = "",
        at: datetime | None = None,
    ) -> Received:
        """Does one action and takes up the new state.

        Raises:
            NotAllowedError: The role may not.
            RefusedError: The audit does not admit it.
        """
        received = desk().act(self.id, self.actor, action, texts, supersedes, at)
        self.state = STATES.state(self.id)
        return received

    def try_do(
        self,
        request: HttpRequest,
        form: Form | None,
        action: Action,
        texts: Mapping[str, str] | None = None,
        supersedes: str = "",
        done: str = "",
    ) -> Received | None:
        """Does one action; a refusal becomes an error of the form, or a notice where there is none.

        Args:
            request: For notices.
            form: Gets the refusal as its error.
            action: What to do.
            texts: Plain texts of its sealed fields.
            supersedes: Id of the item it corrects.
            done: Notice where it was done.
        """
        try:
            received = self.do(action, texts, supersedes)
        except (RefusedError, NotAllowedError) as refusal:
            if form is not None:
                form.add_error(None, str(refusal))
            else:
                messages.error(request, str(refusal))
            return None
        if done:
            messages.success(request, done)
        return received


def in_audit(
    tab: str = "", roles: frozenset[Role] = READERS
) -> Callable[[AuditView], Callable[..., HttpResponseBase]]:
    """Opens an audit for a view: `view(request, page, ...)` instead of `view(request, audit, ...)`.

    Args:
        tab: Which tab the page belongs to.
        roles: Who may see it; an auditee sees nothing that does not say so.
    """

    def wrap(view: AuditView) -> Callable[..., HttpResponseBase]:
        @wraps(view)
        def opened(request: HttpRequest, audit: object, **others: object) -> HttpResponseBase:
            page = open_page(request, str(audit), tab, roles)
            request.audit_page = page  # type: ignore[attr-defined]  # for the frame's context
            return view(request, page, **others)

        return opened

    return wrap


def open_page(request: HttpRequest, audit: str, tab: str, roles: frozenset[Role]) -> AuditPage:
    """The audit as the signed-in account sees it.

    Raises:
        Http404: There is no such audit, or the account has no part in it.
        PermissionDenied: It has one, but not in a role that sees this page.
    """
    state = STATES.state(audit)
    if not state.opening.opened_at or not isinstance(request.user, User):
        raise Http404
    try:
        actor = actor_of(request.user, state)
    except PermissionDenied as error:
        raise Http404 from error
    if actor.role not in roles:
        raise PermissionDenied(f"The role {actor.role.value} does not see this page.")
    return AuditPage(audit, state, actor, request.user, tab)


def frame(request: HttpRequest) -> dict[str, object]:
    """What the frame of an audit's pages shows; a context processor."""
    page = getattr(request, "audit_page", None)
    return {"page": page, "tabs": tabs_of(page)} if isinstance(page, AuditPage) else {}


@dataclass(frozen=True)
class Tab:
    """A link of the frame."""

    name: str
    word: str
    url_name: str
    count: int | None = None


def tabs_of(page: AuditPage) -> list[Tab]:
    """The tabs that the viewer's role sees, with how much is open in each."""
    state = page.state
    answers = Tab("findings", "Findings", "desk:findings", len(state.findings) or None)
    if page.actor.role == Role.AUDITEE:
        return [Tab("answers", "Your findings", "desk:answers")]
    return [
        Tab("trails", "Trails", "desk:spine", sum(not t.is_closed for t in state.trails.values())),
        Tab("said", "Said", "desk:said", len(page.statements)),
        Tab("seen", "Seen", "desk:seen", len(state.observations)),
        Tab("records", "Records", "desk:records"),
        Tab(
            "asked", "Asked for", "desk:asked", sum(not r.receipts for r in state.requests.values())
        ),
        Tab(
            "promises",
            "Promises",
            "desk:promises",
            sum(p.outcome is None for p in state.promises.values()),
        ),
        Tab("agenda", "Agenda", "desk:agenda"),
        answers,
        Tab("preparation", "Preparation", "desk:preparation"),
        Tab("closing", "Closing", "desk:closing"),
    ]

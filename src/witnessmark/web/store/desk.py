"""The installation's desk: store, key, device and a state that is remembered by its head.

Pages and commands take the desk from here, and the actor that an account is in an audit.
"""

from collections import OrderedDict
from dataclasses import dataclass, field
from functools import cache
from threading import Lock
from uuid import uuid4

from django.conf import settings
from django.core.exceptions import PermissionDenied

from witnessmark.audit.act import Desk
from witnessmark.audit.actions.destroy_text import DestroyText
from witnessmark.audit.fold import fold
from witnessmark.audit.journal import Received
from witnessmark.audit.people import Actor, Role
from witnessmark.audit.state import AuditState
from witnessmark.web.accounts.models import User
from witnessmark.web.data_folder import write_private
from witnessmark.web.locks import held
from witnessmark.web.store import blobs, models, vault
from witnessmark.web.store.journal import DatabaseStore, forget_old_pages

REMEMBERED = 24
"""Audits whose state this process keeps in memory."""


@dataclass
class _Known:
    received: list[Received] = field(default_factory=list)
    head: str = ""
    state: AuditState = field(default_factory=AuditState)


class StateCache:
    """The state of each audit under the hash of its head; only new entries are read."""

    def __init__(self, store: DatabaseStore) -> None:
        self._store = store
        self._known: OrderedDict[str, _Known] = OrderedDict()
        self._lock = Lock()

    def state(self, audit: str) -> AuditState:
        """The audit as it is now; treat it as a value, it is shared."""
        with self._lock:
            known = self._known.pop(audit, None) or _Known()
            head = models.Audit.objects.filter(id=audit).values_list("head_hash", flat=True).first()
            if head and head != known.head:
                known = self._read_on(audit, known)
            elif not head:
                known = _Known()
            self._known[audit] = known
            while len(self._known) > REMEMBERED:
                self._known.popitem(last=False)
            return known.state

    def _read_on(self, audit: str, known: _Known) -> _Known:
        """The audit with what is new; read afresh where what was known is no longer its start."""
        new = self._store.received(audit, after=len(known.received))
        if known.received and (not new or new[0].entry.previous != known.head):
            known, new = _Known(), self._store.received(audit)
        received = known.received + new
        return _Known(received, new[-1].entry.hash, fold(received))

    def forget(self) -> None:
        """Forgets everything, as after a restore."""
        with self._lock:
            self._known.clear()


STORE = DatabaseStore()
STATES = StateCache(STORE)


@cache
def _device() -> str:
    path = settings.CONFIG.data.keys / "device"
    with held(settings.CONFIG.data.keys / ".device.lock"):
        if not path.exists():
            write_private(path, str(uuid4()).encode())
    return str(path.read_text(encoding="ascii"))


def desk() -> Desk:
    """The desk of this installation."""
    return Desk(STORE, _device(), vault.signer(settings.CONFIG.data.keys), state_of=STATES.state)


def code_of(user: User) -> str:
    """The account's code, as it stands in journals; never its name."""
    return f"u{user.pk}"


def user_of(code: str) -> User | None:
    """The account of a code, where it is of this installation."""
    digits = code.removeprefix("u")
    return User.objects.filter(pk=int(digits)).first() if digits.isdigit() else None


def role_of(user: User, state: AuditState) -> Role | None:
    """An account's role in an audit; a programme owner has one in every audit."""
    role = state.role_of(code_of(user))
    return role or (Role.OWNER if user.is_programme_owner else None)


def actor_of(user: User, state: AuditState) -> Actor:
    """The account as it acts in an audit.

    Raises:
        PermissionDenied: It has no part in it.
    """
    role = role_of(user, state)
    if role is None:
        raise PermissionDenied("You have no part in this audit.")
    return Actor(code_of(user), role)


def audits_of(user: User) -> list[models.Audit]:
    """The audits in which an account has a part, the newest first, their summaries up to date."""
    rows = [summarised(row) for row in models.Audit.objects.filter(head_seq__gt=0)]
    if user.is_programme_owner:
        return rows
    return [row for row in rows if code_of(user) in row.summary.get("members", {})]


def summarised(row: models.Audit) -> models.Audit:
    """An audit's row with the summary of its present head."""
    if row.summary_head != row.head_hash:
        state = STATES.state(row.id)
        row.title, row.summary, row.summary_head = (
            state.opening.title,
            summary(state),
            row.head_hash,
        )
        models.Audit.objects.filter(id=row.id, head_hash=row.head_hash).update(
            title=row.title, summary=row.summary, summary_head=row.head_hash
        )
    return row


def summary(state: AuditState) -> dict[str, object]:
    """What a list shows of an audit, as plain JSON."""
    trails, findings = state.trails.values(), state.findings.values()
    return {
        "title": state.opening.title,
        "process": state.opening.process,
        "site": state.opening.site,
        "starts_on": state.opening.starts_on,
        "ends_on": state.opening.ends_on,
        "closed_on": state.closed_on,
        "trails_open": sum(not trail.is_closed for trail in trails),
        "trails": len(trails),
        "promises_open": sum(p.outcome is None for p in state.promises.values()),
        "findings_open": sum(f.state in {"draft", "graded", "issued"} for f in findings),
        "findings": sum(f.state != "withdrawn" for f in findings),
        "members": {code: member.role for code, member in state.members.items()},
    }


def destroy_text(audit: str, actor: Actor, mark: str, reason: str) -> None:
    """Destroys a text or a photo: the journal says so first, then its key goes.

    Raises:
        NotAllowedError: The role may not.
        RefusedError: No reason, or no mark.
    """
    with STORE.locked(audit):
        desk().act(audit, actor, DestroyText(mark=mark, reason=reason))
        STORE.destroy(mark)
        if models.Blob.objects.filter(sha256=mark).exists():
            blobs.destroy(mark)
    forget_old_pages()

"""What happened to a trail, read from the journal in its order.

Evidence of a protected source is no event for anybody but the team.
"""

from dataclasses import dataclass

from witnessmark.audit.action import Action
from witnessmark.audit.actions.close_trail import CloseTrail
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.actions.put_trail import PutTrail
from witnessmark.audit.catalogue import read_action
from witnessmark.audit.event import Event
from witnessmark.audit.items import Trail
from witnessmark.web.desk.audit_page import AuditPage
from witnessmark.web.desk.working.pieces import piece_of
from witnessmark.web.desk.working.strands import BEARS
from witnessmark.web.store.desk import STORE


@dataclass(frozen=True)
class Past:
    """One thing that happened.

    Args:
        at: When, by the device that wrote it.
        author: Code of the account.
        what: In words.
        text: The words that were written then.
    """

    at: str
    author: str
    what: str
    text: str = ""


def past_of(page: AuditPage, trail: Trail) -> list[Past]:
    """Everything that happened to a trail, as far as the viewer may see it."""
    events = (item.event for item in STORE.received(page.id))
    told = (_told(page, trail, event) for event in events if event is not None)
    return [past for past in told if past is not None]


def _told(page: AuditPage, trail: Trail, event: Event) -> Past | None:
    if trail.id not in {event.id, event.supersedes, event.body.get("trail")}:
        return None
    action = read_action(event.kind, event.body)
    words = _words(page, action, bool(event.supersedes)) if action else None
    return Past(event.at, event.author, *words) if words else None


def _words(page: AuditPage, action: Action, corrects: bool) -> tuple[str, str] | None:
    match action:
        case OpenTrail():
            rival = f" Or: {action.rival}" if action.rival else ""
            what = "Worded anew" if corrects else "Opened"
            return what, f"{action.proposition}{rival}"
        case LinkEvidence():
            piece = piece_of(page, action.cited)
            return (f"Evidence laid: {BEARS[action.bears]}", piece.text) if piece else None
        case PutTrail():
            return f"Put to {action.state}", action.reason
        case CloseTrail():
            return f"Ended {action.verdict}", action.conclusion
        case PromiseStep():
            return "Promised", action.what
    return None

"""Every action in every role on what is new, one's own and another's: what the page says holds."""

import re
from itertools import product
from pathlib import Path

import msgspec
import pytest
from hypothesis import find, settings
from tests.audit.conftest import AUDIT, LEAD
from tests.audit.strategies import Device, structs_of, uuid_of

from witnessmark.audit.act import Delivery
from witnessmark.audit.action import DECIDES, Action, Creation, Stamp, permit
from witnessmark.audit.actions.respond_to_finding import RespondToFinding
from witnessmark.audit.canonical import canonical
from witnessmark.audit.catalogue import catalogue
from witnessmark.audit.items import Finding
from witnessmark.audit.people import Actor, NotAllowedError, Role
from witnessmark.audit.state import AuditState

PAGE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "roles.md"
WHOSE = ("new", "own", "another's")
ME, OTHER, ITEM = "me", "other", uuid_of(7)
QUICK = settings(max_examples=50, deadline=None, database=None, derandomize=True)


def sample(kind):
    """One action of a kind, on the item under test where it names a finding."""
    action = find(structs_of(catalogue()[kind]), lambda _: True, settings=QUICK)
    names = action.__struct_fields__
    return msgspec.structs.replace(action, finding=ITEM) if "finding" in names else action


SAMPLES = {kind: sample(kind) for kind in catalogue()}


def state_where(whose):
    """An audit in which one item of every kind, and a finding to answer, are somebody's."""
    state = AuditState(id=AUDIT)
    if whose == "new":
        return state
    owner = ME if whose == "own" else OTHER
    for action in catalogue().values():
        if issubclass(action, Creation):
            kind = SAMPLES[action.kind].build(_stamp(owner))
            getattr(state, action.collection)[ITEM] = kind
    state.findings[ITEM] = Finding(
        id=ITEM, author=owner, at="2026-03-24T05:00:00Z", device="", addressed_to=owner
    )
    return state


def _stamp(owner):
    return Stamp(ITEM, owner, "2026-03-24T05:00:00Z", "")


def is_permitted(kind, role, whose):
    action = SAMPLES[kind]
    supersedes = ITEM if isinstance(action, Creation) and whose != "new" else ""
    try:
        permit(action, state_where(whose), Actor(ME, role), supersedes)
    except NotAllowedError:
        return False
    return True


def words():
    """What the page says, by kind and role."""
    rows = re.findall(
        r"^\| [^|]+ \| `([a-z-]+)` \| [^|]+ \|(.+)\|$", PAGE.read_text(), re.MULTILINE
    )
    return {kind: dict(zip(Role, map(str.strip, rest.split("|")), strict=True))
            for kind, rest in rows}  # fmt: skip


def test_the_page_has_every_action_and_every_role():
    said = words()
    assert set(said) == set(catalogue())
    assert {word for row in said.values() for word in row.values()} == {"yes", "no", "own"}


@pytest.mark.parametrize("kind", sorted(catalogue()))
def test_every_role_may_what_the_page_says_and_nothing_else(kind):
    said = words()[kind]
    found = {(role, whose): is_permitted(kind, role, whose) for role, whose in product(Role, WHOSE)}
    # What is neither a correction nor addressed to somebody has no owner: "own" would be "any".
    has_owner = issubclass(catalogue()[kind], Creation) or _overrides_owner(kind)
    for role in Role:
        word = said[role]
        assert word != "own" or has_owner
        assert [found[role, whose] for whose in WHOSE] == {
            "yes": [True, True, True],
            "own": [True, True, False],
            "no": [False, False, False],
        }[word], role


def _overrides_owner(kind):
    return catalogue()[kind].owner is not Action.owner


@pytest.mark.parametrize("kind", sorted(catalogue()))
def test_the_desk_refuses_every_role_that_the_page_refuses(opened, kind):
    """Not the rule alone but the way in: nothing enters the journal, whatever was asked."""
    refused = [role for role in Role if words()[kind][role] == "no"]
    action = SAMPLES[kind]
    plain = msgspec.structs.replace(action, **dict.fromkeys(action.sealed, ""))
    before = opened.store.received(AUDIT)
    for role in refused:
        with pytest.raises(NotAllowedError, match=re.escape(action.does)):
            opened.act(AUDIT, Actor(ME, role), plain)
        if action.phase != DECIDES and not action.sealed:
            event = msgspec.structs.replace(Device(1).write(action, 0), author=ME)
            with pytest.raises(NotAllowedError):
                opened.receive(Actor(ME, role), Delivery(canonical(event.as_json()).decode(), {}))
    assert opened.store.received(AUDIT) == before
    assert refused, "an action that everybody may do needs a second look"


def test_an_observer_may_do_nothing_and_an_auditee_speaks_of_findings_only():
    said = words()
    assert {row[Role.OBSERVER] for row in said.values()} == {"no"}
    mine = {kind for kind, row in said.items() if row[Role.AUDITEE] != "no"}
    assert mine == {"facts-acknowledged", "finding-responded", "route-acknowledged"}
    assert {said[kind][Role.AUDITEE] for kind in mine} == {"own"}


def test_a_finding_that_is_addressed_to_nobody_is_answered_by_no_auditee():
    state = state_where("own")
    state.findings[ITEM].addressed_to = ""
    with pytest.raises(NotAllowedError, match="not their own"):
        permit(RespondToFinding(finding=ITEM), state, Actor(ME, Role.AUDITEE))
    permit(RespondToFinding(finding=ITEM), state, LEAD)

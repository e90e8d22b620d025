"""Who may do what: every action, every role, and whose own it is, from the actions themselves."""

from pages.markdown import page, table
from witnessmark.audit.action import ADDS, CREATES, Action
from witnessmark.audit.catalogue import catalogue
from witnessmark.audit.people import Role

SOURCE = "src/witnessmark/audit/actions/"
WORDS = {None: "no", "any": "yes", "own": "own"}
PHASES = {CREATES: "notebook, desk", ADDS: "notebook, desk"}
INTRODUCTION = """
Every change of an audit is one action, whoever makes it: on a page, on the command line, in the
notebook. The table is made from the actions; a test tries every action in every role on what is
new, on what is one's own and on what is another's.

- **yes**: on anything in the audit.
- **own**: to write something new, and to correct what one wrote oneself; an auditee, on a finding
  that is addressed to their own account.
- **no**: refused.

A notebook may write without the journal at hand what only adds; decisions are made at the desk.
What an audit's state does not admit is refused to every role, with what to do first.
"""


def pages() -> dict[str, str]:
    """The one page of the roles."""
    heads = ["who may", "event", "where", *(role.value.replace("-", " ") for role in Role)]
    rows = [_row(action) for action in catalogue().values()]
    return {"reference/roles.md": page("Roles", SOURCE, [INTRODUCTION, table(heads, rows)])}


def _row(action: type[Action]) -> list[str]:
    where = PHASES.get(action.phase, "desk")
    words = [WORDS[action.allowed.get(role)] for role in Role]
    return [action.does, f"`{action.kind}`", where, *words]

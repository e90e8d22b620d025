"""What the site allows on its floor, and whom to tell of a danger."""

from typing import ClassVar, Literal

from msgspec import structs

from witnessmark.audit.action import Action, Stamp
from witnessmark.audit.people import LEAD_ONLY, Allowed
from witnessmark.audit.state import AuditState, SiteRules

Photos = Literal["allowed", "ask-each-time", "not-allowed"]


class SetSiteRules(Action, frozen=True, kw_only=True):
    """States whether photos and phones are allowed, and the role that hears of a danger first.

    Args:
        photos: Without photos the notebook transcribes, or keeps the plant's receipt.
        phones: Without phones the notebook is printed and keyed in later.
        danger_role: Whom the site's rules name for an imminent danger.
        safety: What else the site asks of a visitor, in its own words.
    """

    kind: ClassVar = "site-rules-set"
    does: ClassVar = "state the rules of the site"
    allowed: ClassVar[Allowed] = LEAD_ONLY

    photos: Photos = "ask-each-time"
    phones: bool = True
    danger_role: str = ""
    safety: str = ""

    def apply(self, state: AuditState, stamp: Stamp) -> None:
        """The last rules stand."""
        state.site_rules = SiteRules(**structs.asdict(self))

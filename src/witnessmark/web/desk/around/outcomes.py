"""Whole outcomes beside their freeze, as the follow-up of a finding needs them."""

from collections.abc import Iterator
from dataclasses import dataclass

from witnessmark.audit.effect import Recurrence, recurrence, slugs_of
from witnessmark.audit.items import Finding, Freeze
from witnessmark.audit.people import RefusedError
from witnessmark.record_tests.kept import load_kept
from witnessmark.record_tests.outcome import Outcome
from witnessmark.web.desk.audit_page import AuditPage
from witnessmark.web.desk.working.kept import home_of

SHORT = 8


def freeze_words(freeze: Freeze) -> str:
    """Records by period and purpose."""
    period = freeze.period or "period not stated"
    return f"{period} ({freeze.purpose}, {freeze.freeze[:SHORT]})"


def kept_outcome(page: AuditPage, freeze: str, slug: str) -> Outcome:
    """The whole outcome beside its freeze, once it is the one that the journal recorded.

    Raises:
        RefusedError: It is not on this installation, or counts something else.
    """
    known = page.state.freezes[freeze]
    outcomes = load_kept(home_of(known))
    found = next((one for one in outcomes if one.slug == slug), None)
    recorded = known.outcomes.get(slug)
    if found is None or recorded is None:
        raise RefusedError(f"There is no outcome of {slug} on the records {freeze_words(known)}.")
    if found.digest != recorded.digest:
        raise RefusedError(
            f"The outcome of {slug} beside the records {freeze_words(known)} is not the one in "
            "the journal; record the outcomes again first."
        )
    return found


@dataclass(frozen=True)
class Watched:
    """A later period, and whether the same is found there."""

    period: str
    slug: str
    found: Recurrence


def watched(page: AuditPage, item: Finding) -> Iterator[Watched]:
    """What records taken in since say to a closed finding."""
    if item.state != "closed":
        return
    used = {v.before_freeze for v in item.verifications}
    used |= {v.after_freeze for v in item.verifications}
    for freeze in page.state.freezes.values():
        if freeze.freeze in used or freeze.at < item.closed_at:
            continue
        for slug in slugs_of(item):
            try:
                outcome = kept_outcome(page, freeze.freeze, slug)
            except RefusedError:
                continue  # no outcome of that test there: nothing is said of it
            yield Watched(freeze.period, slug, recurrence(item, outcome))

"""What has become of findings: responses, verification by the same test, closing, recurrence."""

from collections.abc import Iterator, Sequence

from witnessmark.report.audit_report.sources import SHORT
from witnessmark.report.audit_report.values import FindingSaid, FollowUp, VerificationSaid
from witnessmark.report.audit_report.wording import Wording


def follow_up_said(findings: Sequence[FindingSaid], say: Wording) -> tuple[FollowUp, ...]:
    """Findings of which something is known since they were issued, by number."""
    told = [
        FollowUp(one.number, one.statement, one.grade, one.state, said)
        for one in findings
        if (said := tuple(_said(one, say)))
    ]
    return tuple(sorted(told, key=lambda one: one.number))


def _said(one: FindingSaid, say: Wording) -> Iterator[str]:
    for response in one.responses:
        verdict = say.named("verdict", response.verdict or "waiting")
        yield say(
            "follow_up.response", at=response.at, action=response.action or response.containment
        )
        yield f"{verdict}{f': {response.verdict_reason}' if response.verdict_reason else ''}"
    for item in one.verifications:
        yield _verified(item, say)
    for again in one.recurrences:
        yield say("follow_up.again", what=again)
    if one.closed:
        yield say("follow_up.closed", said=one.closed)
    if one.watch_until:
        yield say("follow_up.watch", until=one.watch_until)


def _verified(item: VerificationSaid, say: Wording) -> str:
    return say(
        "follow_up.verified",
        slug=item.slug,
        before=item.before,
        after=item.after,
        verdict=item.verdict,
        text=item.text,
        freeze=item.after_freeze[:SHORT],
    )

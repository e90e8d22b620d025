"""Trails in words: proposition, rival, how it ended, and what speaks for and against it."""

from witnessmark.audit.items import Link, Trail
from witnessmark.report.audit_report.evidence import evidence_text
from witnessmark.report.audit_report.sources import Sources
from witnessmark.report.audit_report.values import ConditionSaid, EvidenceSaid, TrailSaid

ORDER = ("for", "against", "neutral")


def trails_said(sources: Sources) -> tuple[TrailSaid, ...]:
    """All trails in the order in which they were opened."""
    trails = enumerate(sources.state.trails.values(), 1)
    return tuple(_trail(sources, number, trail) for number, trail in trails)


def _trail(sources: Sources, number: int, trail: Trail) -> TrailSaid:
    late = {link.id for link in trail.not_considered}
    shown = [
        link
        for link in trail.evidence
        if sources.may_show(link.cited) and link.id not in sources.hidden
    ]
    shown.sort(key=lambda link: ORDER.index(link.bears))
    return TrailSaid(
        number=number,
        proposition=trail.proposition,
        rival=trail.rival,
        state=trail.state,
        conclusion=trail.conclusion,
        limitation=trail.limitation,
        reason=trail.reason,
        highest_grade=trail.highest_grade,
        conditions=tuple(ConditionSaid(one.key, one.met, one.said) for one in trail.conditions),
        evidence=tuple(_evidence(sources, link, link.id in late) for link in shown),
    )


def _evidence(sources: Sources, link: Link, late: bool) -> EvidenceSaid:
    return EvidenceSaid(
        bears=link.bears,
        kind=link.cited.column,
        text=evidence_text(sources, link.cited),
        note=link.note,
        independent=not link.by_audited_function,
        after_closing=late,
    )

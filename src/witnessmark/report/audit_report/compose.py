"""Composes the report of an audit: each part from its own file, here only put together.

Nothing is typed anew: what stands in a report stands in the journal or in the kept outcomes. This
module knows no layout.
"""

from collections import Counter
from collections.abc import Sequence

import witnessmark
from witnessmark.audit.canonical import GENESIS
from witnessmark.report.audit_report import covered, findings
from witnessmark.report.audit_report.conclusions import conclusions_said, strengths_said
from witnessmark.report.audit_report.follow_up import follow_up_said
from witnessmark.report.audit_report.limitations import limitations_said
from witnessmark.report.audit_report.numbers import method_said, numbers_said
from witnessmark.report.audit_report.records import read_records
from witnessmark.report.audit_report.requirement import criteria_said
from witnessmark.report.audit_report.sources import Sources
from witnessmark.report.audit_report.trails import trails_said
from witnessmark.report.audit_report.values import (
    AuditReport,
    FindingSaid,
    ScopeSaid,
    Title,
    TrailSaid,
)
from witnessmark.report.audit_report.wording import Wording


def compose(sources: Sources, issued: bool | None = None) -> AuditReport:
    """The report of an audit as its journal stands.

    Args:
        sources: The audit, its journal, and the records at hand.
        issued: Whether it is the one that is issued; by default, whether one was issued before. A
            draft says on every page that it is one.
    """
    read = read_records(sources)
    found = findings.findings_said(sources)
    trails = trails_said(sources)
    scope = sources.state.scope
    report = AuditReport(
        language=sources.say.language,
        draft=not (bool(sources.state.reports) if issued is None else issued),
        title=title_of(sources),
        result=result_of(sources, found, trails),
        suspect=findings.suspect_said(sources),
        conclusions=conclusions_said(sources),
        findings=found,
        strengths=strengths_said(sources),
        refuted=tuple(trail for trail in trails if trail.state == "refuted"),
        limitations=limitations_said(sources, read.limits),
        follow_up=follow_up_said(found, sources.say),
        scope=ScopeSaid(scope.text, scope.not_in_scope, scope.areas, scope.shifts, scope.machines),
        criteria=criteria_said(sources.state.criteria, sources.day),
        covered=covered.covered_said(sources),
        team=covered.team_said(sources),
        people=covered.people_said(sources),
        method=method_said(sources),
        distribution=covered.distribution_said(sources),
        pictures=read.pictures,
        numbers=numbers_said(sources),
        trails=trails,
        agenda=covered.agenda_said(sources),
        withdrawn=findings.withdrawn_said(sources),
    )
    return sources.guarded(report)


def title_of(sources: Sources) -> Title:
    """The title block, with the entry of the journal that the report was made from."""
    opening, received = sources.state.opening, sources.received
    days = [sources.day(on) for on in (opening.starts_on, opening.ends_on) if on]
    return Title(
        title=opening.title,
        process=opening.process,
        site=opening.site,
        dates=" \u2013 ".join(dict.fromkeys(days)),
        zone=opening.zone,
        audit=sources.state.id,
        head=received[-1].entry.hash if received else GENESIS,
        entries=len(received),
        made_at=sources.when(received[-1].entry.received_at) if received else "",
        tool_version=witnessmark.__version__,
        closed_on=sources.day(sources.state.closed_on),
    )


def result_of(sources: Sources, found: Sequence[FindingSaid], trails: Sequence[TrailSaid]) -> str:
    """The result in a sentence: nonconformities, suspect product, what was refuted or left open.

    Where nothing was examined it says so: an absence of data is never conformity.
    """
    say = sources.say
    if not (found or trails or _was_examined(sources)):
        return say("result.nothing")
    grades = Counter(one.grade for one in found if one.state != "draft")
    drafts = sum(one.state == "draft" for one in found)
    parts = [_nonconformities(grades["major"], grades["minor"], drafts, say)]
    if drafts:
        parts.append(say("result.drafts", n=drafts))
    suspect = [one for one in found if one.suspect]
    if suspect:
        told = all(one.routes for one in suspect)
        parts.append(say("result.suspect_told" if told else "result.suspect"))
    states = Counter(trail.state for trail in trails)
    if states["refuted"]:
        parts.append(say("result.refuted", n=states["refuted"]))
    still = states["open"] + states["waiting"] + states["parked"] + states["undetermined"]
    if still:
        parts.append(say("result.undetermined", n=still))
    return "; ".join(parts) + "."


def _was_examined(sources: Sources) -> bool:
    """Whether anything was heard, seen, read or tested."""
    state = sources.state
    tested = any(one.outcomes for one in state.freezes.values())
    return bool(sources.statements or state.observations or state.documents or tested)


def _nonconformities(major: int, minor: int, drafts: int, say: Wording) -> str:
    if not major and not minor:
        return say("result.none_yet" if drafts else "result.none")
    if not minor:
        return say("result.only_major", n=major)
    if not major:
        return say("result.only_minor", n=minor)
    return say("result.both", n=major + minor, major=major, minor=minor)

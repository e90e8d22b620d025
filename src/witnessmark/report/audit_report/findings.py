"""Findings in words, the ones with the highest risk first; nothing is worded anew.

Every fact keeps its x of n and leads to its number; where the outcome it cites says otherwise, that
is printed beside it.
"""

from witnessmark.audit.cited import Cited, Fact
from witnessmark.audit.items import Finding, Response, Route, Verification
from witnessmark.report.audit_report.evidence import may_print_stratum
from witnessmark.report.audit_report.requirement import requirement_said
from witnessmark.report.audit_report.sources import SHORT, Sources
from witnessmark.report.audit_report.values import (
    FactSaid,
    FindingSaid,
    ResponseSaid,
    RouteStep,
    SuspectProduct,
    VerificationSaid,
    Withdrawn,
)
from witnessmark.report.words import share, x_of_n

GRADES = ("major", "minor", "", "opportunity", "none")
"""By risk; an ungraded finding may still be anything but is no nonconformity yet."""
NONCONFORMITIES = frozenset({"major", "minor"})


def standing(sources: Sources) -> list[Finding]:
    """Findings that were not withdrawn: suspect product first, then by grade, then by number."""
    kept = [one for one in sources.state.findings.values() if one.state != "withdrawn"]
    return sorted(
        kept,
        key=lambda one: (not one.suspect_product, GRADES.index(grade_of(one)), one.number),
    )


def grade_of(finding: Finding) -> str:
    """The grade as decided; empty where none was."""
    return finding.grading.grade if finding.grading else ""


def findings_said(sources: Sources) -> tuple[FindingSaid, ...]:
    """All findings that stand."""
    return tuple(_finding(sources, one) for one in standing(sources))


def suspect_said(sources: Sources) -> tuple[SuspectProduct, ...]:
    """Suspect product, by finding."""
    return tuple(
        SuspectProduct(
            one.number,
            one.consequence,
            sources.when(one.containment_asked_at),
            tuple(_route(sources, route) for route in one.routes),
        )
        for one in standing(sources)
        if one.suspect_product
    )


def withdrawn_said(sources: Sources) -> tuple[Withdrawn, ...]:
    """Findings that were withdrawn."""
    return tuple(
        Withdrawn(one.number, one.statement, one.reason)
        for one in sorted(sources.state.findings.values(), key=lambda one: one.number)
        if one.state == "withdrawn"
    )


def _finding(sources: Sources, one: Finding) -> FindingSaid:
    grading = one.grading
    acknowledged = ""
    if one.acknowledged_at:
        acknowledged = f"{one.acknowledged_role}, {sources.when(one.acknowledged_at)}"
    return FindingSaid(
        number=one.number,
        trail=list(sources.state.trails).index(one.trail) + 1
        if one.trail in sources.state.trails
        else 0,
        grade=grade_of(one),
        grade_reason=grading.reason if grading else "",
        proposed=grading.proposed if grading else "",
        inputs=tuple(grading.inputs.items()) if grading else (),
        state=one.state,
        requirement=requirement_said(one.requirement, sources.say),
        process=one.process,
        place=one.place,
        drafted_at=sources.day(one.at),
        statement=one.statement,
        facts=tuple(_fact(sources, fact) for fact in one.facts),
        extent=one.extent,
        consequence=one.consequence,
        suspect=one.suspect_product,
        rival_excluded=one.rival_excluded,
        containment_asked_at=sources.when(one.containment_asked_at),
        acknowledged=acknowledged,
        acknowledged_note=one.acknowledged_note,
        issued_at=sources.when(one.issued_at),
        due=tuple((step, sources.day(on)) for step, on in one.due.items()),
        routes=tuple(_route(sources, route) for route in one.routes),
        responses=tuple(_response(sources, response) for response in one.responses),
        verifications=tuple(_verification(sources, item) for item in one.verifications),
        closed=f"{sources.day(one.closed_at)}: {one.reason}" if one.state == "closed" else "",
        watch_until=sources.day(one.watch_until),
        recurrences=tuple(one.recurrences),
    )


def _fact(sources: Sources, fact: Fact) -> FactSaid:
    counted = rate = ""
    if fact.x is not None and fact.n is not None:
        counted = x_of_n(fact.x, fact.n)
        rate = share(fact.x / fact.n) if fact.n else ""
    shown = fact.cited if sources.may_show(fact.cited) else None
    return FactSaid(
        fact.text,
        counted,
        rate,
        fact.period,
        fact.selection,
        _source(sources, shown) if shown else "",
        _doubt(sources, fact) if shown else "",
    )


def _source(sources: Sources, cited: Cited) -> str:
    parts = [cited.slug]
    if cited.stratum and may_print_stratum(sources, cited):
        parts.append(cited.stratum)
    return ", ".join((*parts, cited.freeze[:SHORT])) if cited.slug else cited.kind


def _doubt(sources: Sources, fact: Fact) -> str:
    """What stands against a fact that cites a whole outcome: its counts, or its digest."""
    cited = fact.cited
    outcome = sources.outcome(cited.freeze, cited.slug) if cited else None
    if cited is None or cited.kind != "outcome" or outcome is None:
        return ""
    counts = outcome.counts
    if (fact.x, fact.n) not in {(None, None), (counts.exceptions, counts.assessed)}:
        return sources.say(
            "findings.other_count", counted=x_of_n(counts.exceptions, counts.assessed)
        )
    if cited.digest and cited.digest != outcome.digest:
        return sources.say("findings.other_digest")
    return ""


def _route(sources: Sources, route: Route) -> RouteStep:
    return RouteStep(
        route.product,
        route.informed_role,
        route.deputy_role,
        sources.when(route.informed_at),
        sources.when(route.acknowledged_at),
        route.acknowledged_role,
        route.plant_decided,
    )


def _response(sources: Sources, one: Response) -> ResponseSaid:
    return ResponseSaid(
        at=sources.when(one.at),
        containment=one.containment,
        quantities=one.quantities,
        correction=one.correction,
        cause_occurrence=one.cause_occurrence,
        cause_detection=one.cause_detection,
        cause_system=one.cause_system,
        action=one.action,
        owner_role=one.owner_role,
        due=sources.day(one.due),
        implemented_on=sources.day(one.implemented_on),
        similar_examined=one.similar_examined,
        documents_changed=one.documents_changed,
        verdict=one.verdict,
        verdict_reason=one.verdict_reason,
    )


def _verification(sources: Sources, one: Verification) -> VerificationSaid:
    def counted(x: int, exposure: float) -> str:
        return sources.say("findings.exposed", x=x, n=f"{exposure:,.6g}", unit=one.exposure)

    return VerificationSaid(
        at=sources.when(one.at),
        slug=one.slug,
        before_freeze=one.before_freeze,
        after_freeze=one.after_freeze,
        exposure=one.exposure,
        before=counted(one.before_x, one.before_exposure),
        after=counted(one.after_x, one.after_exposure),
        verdict=one.verdict,
        text=one.text,
    )

"""What only the annex of the report has: trails with their evidence, numbers, freezes, agenda.

The annex is never cut. This module words nothing but counts.
"""

from collections.abc import Collection
from dataclasses import asdict

from witnessmark.report.audit_report.sources import SHORT
from witnessmark.report.audit_report.values import (
    AgendaItem,
    AuditReport,
    EvidenceSaid,
    NumberSaid,
    TrailSaid,
)
from witnessmark.report.audit_report.wording import Wording, wording


def annex_data(report: AuditReport) -> dict[str, object]:
    """What the template is given for the annex."""
    say = wording(report.language)
    return {
        "trails": [_trail(one, say) for one in report.trails],
        "numbers": [_number(one) for one in report.numbers],
        "freezes": [one.freeze for one in report.method.extracts],
        "agenda": [asdict(one) | {"beside": _beside(one, say)} for one in report.agenda],
        "withdrawn": [asdict(one) for one in report.withdrawn],
    }


def rest_in_full(report: AuditReport, cut: Collection[str]) -> list[list[str]]:
    """Label and text of what else the main part cut: the six reasons, days, team, method.

    Args:
        report: Values.
        cut: Names of the parts that were cut.
    """
    labels = wording(report.language).section("page")
    rows: list[list[str]] = []
    if "conclusions" in cut:
        rows += [[one.text, one.reason] for one in report.conclusions]
    if "covered" in cut:
        rows += [[one.date, one.hours] for one in report.covered.days]
    if "team" in cut:
        rows += [[one.role, _joined(*asdict(one).values())] for one in report.team]
    if "people" in cut:
        rows.append([labels["people"], "; ".join(one.role for one in report.people)])
    if "method" in cut:
        rows += [
            [one.freeze[:SHORT], _joined(one.purpose, one.period)] for one in report.method.extracts
        ]
        rows.append([labels["method"], " ".join(report.method.notes)])
    if "distribution" in cut:
        rows.append([labels["distribution"], "; ".join(report.distribution)])
    return rows


def _joined(*parts: str) -> str:
    return "; ".join(part for part in parts if part)


def _trail(one: TrailSaid, say: Wording) -> dict[str, object]:
    return asdict(one) | {
        "state_words": say.named("trail", one.state),
        "evidence": [_evidence(item, say) for item in one.evidence],
        "conditions_words": _conditions(one, say),
    }


def _conditions(one: TrailSaid, say: Wording) -> str:
    """The conditions as judged, in one line; empty where none was."""
    said = [
        say(
            "page.met" if item.met else "page.open",
            condition=say.named("condition", item.key),
            said=f" ({item.said})" if item.said else "",
        )
        for item in one.conditions
    ]
    return say("page.conditions", said="; ".join(said)) if said else ""


def _evidence(one: EvidenceSaid, say: Wording) -> dict[str, object]:
    beside = [one.note] if one.note else []
    beside += [say("page.independent")] if one.independent else []
    beside += [say("page.after_closing")] if one.after_closing else []
    return {
        "bears_words": say.named("bears", one.bears),
        "column_words": say.named("column", one.kind),
        "text_words": one.text + "".join(f" [{part}]" for part in beside),
    }


def _number(one: NumberSaid) -> dict[str, object]:
    beside = ["; ".join(one.criteria), one.digest, one.note]
    return asdict(one) | {"beside": [line for line in beside if line]}


def _beside(one: AgendaItem, say: Wording) -> str:
    """What happened to an appointment."""
    said = [say("page.moved", n=one.moves)] if one.moves else []
    said += [say("page.dropped", why=one.dropped)] if one.dropped else []
    return "; ".join(said)

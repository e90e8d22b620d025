"""What only the annex of the report has: trails with their evidence, numbers, freezes, agenda.

The annex is never cut. This module words nothing but counts.
"""

from dataclasses import asdict

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

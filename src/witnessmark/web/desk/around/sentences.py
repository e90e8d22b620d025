"""A journal entry as a plain sentence.

No sealed text stands in a sentence: the desk shows it where it can also be destroyed. A kind that
this version does not know says so.
"""

from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from witnessmark.audit.catalogue import catalogue
from witnessmark.audit.event import Event
from witnessmark.audit.forms import FORMS
from witnessmark.audit.state import AuditState
from witnessmark.web.desk.around.words import GRADES, ROLES

SHORT = 160
SENTENCES: Mapping[str, str] = {
    "appointment-dropped": "Dropped an appointment from the agenda: {reason}",
    "appointment-planned": "Planned an appointment: {what}.",
    "audit-closed": "Closed the work on site; closing meeting on {closing_day}.",
    "audit-opened": "Opened the audit “{title}” of the process {process}.",
    "criteria-set": "Stated the criteria: {n_documents} documents with their revisions.",
    "danger-reported": "Kept that an imminent danger was told to {told_role}.",
    "document-transcribed": "Transcribed a document: {title} {revision}.",
    "evidence-linked": "Laid evidence on the trail “{trail_words}”: {bears}.",
    "evidence-received": "Received what was asked for: {request_words}",
    "evidence-requested": "Asked for evidence: {what}",
    "facts-acknowledged": "Finding {finding_n}: the facts were heard by {role}.",
    "finding-closed": "Closed finding {finding_n}: {reason}",
    "finding-drafted": "Drafted a finding: {statement}",
    "finding-graded": "Graded finding {finding_n}: {grade_words}. {reason}",
    "finding-issued": "Issued finding {finding_n} with {n_due} dates.",
    "finding-reopened": "Opened finding {finding_n} again: {reason}",
    "finding-responded": "Answered finding {finding_n}.",
    "finding-verified": "Verified finding {finding_n} by the test {slug}: {verdict}.",
    "finding-withdrawn": "Withdrew finding {finding_n}: {reason}",
    "limitation-declared": "Declared a limitation: {what}",
    "member-joined": "Named {member_words} as {role_words}.",
    "observation-compared": "Held an observation against the records: {field_name} {result}.",
    "observation-made": "Wrote down what was seen ({seen_words})",
    "outcomes-recorded": "Recorded the outcomes of {n_results} record tests.",
    "photo-taken": "Attached a photo: {caption}",
    "promise-settled": "Settled the promise “{promise_words}”: {outcome}. {note}",
    "question-concluded": "Concluded the question “{question}”: {answer}. {reason}",
    "records-taken-in": "Took in records of the period {period}, for the purpose: {purpose}.",
    "report-issued": "Issued a report ({form}).",
    "response-judged": "Finding {finding_n}: the answer was {verdict}. {reason}",
    "route-acknowledged": "Finding {finding_n}: {role} acknowledged. {decided}",
    "route-started": "Finding {finding_n}: informed {informed_role} of suspect product.",
    "scope-set": "Stated the scope.",
    "site-rules-set": "Stated the rules of the site.",
    "statement-answered": "Answered a statement by {how}: {result}. {reason}",
    "statement-heard": "Wrote down a statement ({said_words})",
    "step-promised": "Promised: {what}, with {with_role}.",
    "text-destroyed": "Destroyed a personal text or photo for good: {reason}",
    "trail-closed": "Ended the trail “{trail_words}”, {verdict}: {conclusion}",
    "trail-opened": "Opened a trail: {proposition}",
    "trail-put": "Put the trail “{trail_words}” to {state}. {reason}",
}
WITHHELD = "An entry that concerns a protected source. It is shown to the audit team only."


def sentence(event: Event, state: AuditState, names: Mapping[str, str]) -> str:
    """What an event did, in a sentence.

    Args:
        event: The event.
        state: The audit it belongs to, for the words of what it points at.
        names: Names of accounts by code.
    """
    if event.kind not in catalogue() or event.kind not in SENTENCES:
        return (
            f"An entry of the kind “{event.kind}”, which this version does not know. "
            "It is kept as it came, and takes no part in what the pages show."
        )
    told = defaultdict(str, _words(event, state, names))
    said = " ".join(SENTENCES[event.kind].format_map(told).split())
    said = said.rstrip(" ,:")
    if event.supersedes:
        said = f"Corrected: {said[0].lower()}{said[1:]}"
    return said if said.endswith((".", "!", "?", "”")) else f"{said}."


def _words(event: Event, state: AuditState, names: Mapping[str, str]) -> dict[str, str]:
    body = event.body
    sealed = catalogue()[event.kind].sealed
    told = {name: _short(value) for name, value in body.items() if name not in sealed}
    told["n_documents"] = str(len(body.get("documents") or ()))
    told["n_results"] = str(len(body.get("results") or ()))
    told["n_due"] = str(len(body.get("due") or ()))
    told["grade_words"] = GRADES.get(str(body.get("grade", "")), "")
    told["role_words"] = ROLES.get(str(body.get("role", "")), "")
    code = str(body.get("user", ""))
    told["member_words"] = names.get(code) or told.get("function") or "somebody without account"
    told["said_words"] = _joined(told, "role", "shift", "place")
    form = FORMS.get(str(body.get("form", "")))
    told["seen_words"] = "; ".join(
        filter(None, (form.title if form else "", _joined(told, "machine", "place")))
    )
    finding = state.findings.get(str(body.get("finding", "")))
    told["finding_n"] = str(finding.number) if finding else ""
    trail = state.trails.get(str(body.get("trail", "")))
    told["trail_words"] = _short(trail.proposition) if trail else ""
    promise = state.promises.get(str(body.get("promise", "")))
    told["promise_words"] = _short(promise.what) if promise else ""
    request = state.requests.get(str(body.get("request", "")))
    told["request_words"] = _short(request.what) if request else ""
    return told


def _joined(told: Mapping[str, str], *names: str) -> str:
    return ", ".join(text for name in names if (text := told.get(name, "")))


def _short(value: Any) -> str:
    if not isinstance(value, str | int | float):
        return ""
    text = " ".join(str(value).split())
    return text if len(text) <= SHORT else f"{text[:SHORT].rstrip()} …"

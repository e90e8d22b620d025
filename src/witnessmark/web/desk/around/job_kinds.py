"""Long work of these pages: making papers, sealing."""

from typing import Any

from django.urls import reverse

from witnessmark.web.desk.around.papers import make_papers
from witnessmark.web.desk.around.sealing import make_sealed
from witnessmark.web.jobs.kinds import Tell, kind
from witnessmark.web.jobs.models import Job

PAPERS, SEAL = "papers", "seal"


@kind(PAPERS, "Make the papers of the audit")
def papers(job: Job, tell: Tell) -> dict[str, Any]:
    """Report, working papers, JSON and records, from the journal as it stands."""
    audit = str(job.audit_id)
    made = make_papers(audit, bool(job.arguments.get("is_final")), tell)
    what = "Final papers" if made.made.is_final else "A draft"
    said = f"{what}: {len(made.made.files)} files, made from entry {made.made.entries}."
    return {"says": said, "href": reverse("desk:reports", args=[audit])}


@kind(SEAL, "Seal the audit")
def seal(job: Job, tell: Tell) -> dict[str, Any]:
    """One file that verifies without a server."""
    tell("Sealing", None)
    audit = str(job.audit_id)
    sealed = make_sealed(audit, job.arguments["width"])
    told = [
        f"{sealed.entries} entries, {sealed.texts} texts, {sealed.files} files.",
        f"{len(sealed.withheld)} entries withheld." if sealed.withheld else "",
        *sealed.missing,
    ]
    return {
        "says": " ".join(filter(None, told)),
        "href": reverse("desk:reports", args=[audit]) + "#sealed",
    }

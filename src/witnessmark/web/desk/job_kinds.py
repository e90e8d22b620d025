"""The kinds of background work that pages of an audit ask for."""

from typing import Any

from witnessmark.web.desk.around import job_kinds as around  # noqa: F401 - declares its own
from witnessmark.web.desk.working import taking_in
from witnessmark.web.jobs.kinds import Tell, kind
from witnessmark.web.jobs.models import Job

TAKE_IN = "take-in-records"
HOLD_AGAINST = "hold-against-records"


@kind(TAKE_IN, "Take in records")
def take_in_records(job: Job, tell: Tell) -> dict[str, Any]:
    """From sent exports to frozen records with their outcomes, in the audit's journal."""
    return taking_in.take_in(job, tell)


@kind(HOLD_AGAINST, "Hold what was seen against the records")
def hold_against_records(job: Job, tell: Tell) -> dict[str, Any]:
    """Every structured observation against the records of its moment."""
    return taking_in.hold_against(job, tell)

"""What happens in the background: taking records in, and holding observations against them."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.urls import reverse

import witnessmark
from witnessmark.audit.actions.compare_observation import CompareObservation
from witnessmark.audit.actions.record_outcomes import RecordOutcomes
from witnessmark.audit.actions.take_in_records import TakeInRecords
from witnessmark.audit.compare import compare_all
from witnessmark.audit.people import Actor, RefusedError
from witnessmark.audit.recorded import result_of
from witnessmark.record_tests.record_test import catalogue
from witnessmark.report.model import Paper
from witnessmark.report.run import Run, keep_run, run_folder
from witnessmark.report.words import count, day, plural
from witnessmark.web.desk.working.opened import timeline_of
from witnessmark.web.desk.working.uploads import forget_upload
from witnessmark.web.jobs.kinds import Tell
from witnessmark.web.jobs.models import Job
from witnessmark.web.store.desk import STATES, actor_of, desk

BEFORE_TESTS, TESTS = 0.25, 0.7
"""Shares of the work: reading and freezing, then the record tests and their defaults."""


def take_in(job: Job, tell: Tell) -> dict[str, Any]:
    """Freezes a folder, runs the record tests, keeps what they found, enters it in the journal."""
    folder = Path(job.arguments["folder"])
    audit = str(job.audit_id)
    records: Path = settings.CONFIG.data.records
    try:
        with run_folder(folder, _shared(tell), out=records) as run:
            tell("keeping the outcomes", 0.97)
            keep_run(run, folder)
    finally:
        if job.arguments["sent"]:
            forget_upload(folder)
    _enter(audit, _actor(job), run, job.arguments["purpose"])
    refused = run.freeze.manifest.rows_refused
    said = f"The records {_period(run.paper)} are taken in"
    said += f"; {plural(refused, 'row')} refused." if refused else "; no row was refused."
    href = reverse("desk:freeze", args=(audit, run.freeze.identity))
    return {"says": said, "href": href}


def hold_against(job: Job, tell: Tell) -> dict[str, Any]:
    """Holds every observation that was not yet held against these records."""
    audit = str(job.audit_id)
    actions = hold_seen(audit, _actor(job), job.arguments["freeze"], tell)
    against = sum(action.result == "contradicts" for action in actions)
    said = f"{plural(len(actions), 'answer')} compared; {count(against)} contradict."
    show = "?show=contradicted" if against else ""
    return {"says": said, "href": reverse("desk:seen", args=(audit,)) + show}


def hold_seen(audit: str, actor: Actor, freeze: str, tell: Tell) -> tuple[CompareObservation, ...]:
    """Compares every observation not yet held against these records, and writes down what came."""
    state = STATES.state(audit)
    tell("opening the records", 0.1)
    with timeline_of(state.freezes[freeze]) as timeline:
        tell("comparing", 0.3)
        compared = compare_all(state, timeline, freeze)
    for done, action in enumerate(compared.actions):
        tell("writing down", 0.5 + 0.5 * done / len(compared.actions))
        desk().act(audit, actor, action)
    return compared.actions


def _enter(audit: str, actor: Actor, run: Run, purpose: str) -> None:
    """The freeze and its counts enter the journal; a second run only records its counts."""
    identity = run.freeze.identity
    if identity not in STATES.state(audit).freezes:
        taken = TakeInRecords(
            freeze=identity,
            period=_period(run.paper),
            purpose=purpose,  # type: ignore[arg-type]  # one of the form's choices
            tool_version=witnessmark.__version__,
        )
        desk().act(audit, actor, taken)
    results = tuple(result_of(outcome) for outcome in run.battery.outcomes)
    desk().act(audit, actor, RecordOutcomes(freeze=identity, results=results))


def _actor(job: Job) -> Actor:
    """Who asked, in the role that they have now."""
    if job.asked_by is None:
        raise RefusedError("Nobody asked for this; it cannot enter a journal.")
    try:
        return actor_of(job.asked_by, STATES.state(str(job.audit_id)))
    except PermissionDenied as error:
        raise RefusedError("Whoever asked for this has no part in the audit any more.") from error


def _period(paper: Paper) -> str:
    return f"{day(paper.title.period_from)} to {day(paper.title.period_to)}"


def _shared(tell: Tell) -> Callable[[str], None]:
    """Steps of the run with the share that is done: tests are counted, the rest is guessed."""
    tests, done = catalogue(), set[str]()

    def step(what: str) -> None:
        if what in tests:
            done.add(what)
        share = BEFORE_TESTS + TESTS * len(done) / len(tests) if done else BEFORE_TESTS / 2
        tell(what.replace("-", " ") if what in tests else what, share)

    return step

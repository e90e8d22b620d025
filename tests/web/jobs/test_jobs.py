"""Background jobs in real processes: done, refused, failed, killed, stopped, one after another."""

import os
import time

import pytest
from django.db import transaction

from witnessmark.web.accounts.models import User
from witnessmark.web.jobs.ask import GONE, ask, end, settle, settle_all, stop
from witnessmark.web.jobs.kinds import kind
from witnessmark.web.jobs.models import Job, State
from witnessmark.web.jobs.run import FAULT
from witnessmark.web.locks import is_held

WITHIN_S = 120


def until(job, is_so):
    """Looks at a job, as a page does, until it is so."""
    end_of_patience = time.monotonic() + WITHIN_S
    while time.monotonic() < end_of_patience:
        job = settle(Job.objects.get(pk=job.pk))
        if is_so(job):
            return job
        time.sleep(0.1)
    raise AssertionError(f"the job is still {job.state} at {job.step!r}")


def ended(job):
    return until(job, lambda one: not one.is_open)


def running(job):
    return until(job, lambda one: one.state == State.RUNNING and one.step)


def test_done_with_its_result_and_its_times(client, user):
    job = ask("add", user, audit_id="a1", numbers=[1, 2, 39])
    job = ended(job)
    assert (job.state, job.result["says"], job.message) == (State.DONE, "The sum is 42.", "")
    assert (job.audit_id, job.asked_by) == ("a1", user)
    assert job.asked_at < job.started_at < job.ended_at
    assert not job.lock.exists()
    page = client.get(f"/jobs/{job.pk}/progress/")
    assert "The sum is 42." in page.text
    assert "hx-get" not in page.text  # nothing asks any more


def test_a_refusal_is_shown_in_its_words_and_a_fault_without_its_values(client, user):
    refused, failed = ask("refuse", user), ask("fail", user)
    assert ended(refused).message == "setups.xlsx: this is no workbook."
    failed = ended(failed)
    assert (failed.state, failed.message) == (State.FAILED, FAULT)
    assert "secret words" not in client.get(f"/jobs/{failed.pk}/").text


def test_a_killed_one_is_noticed_and_its_progress_stays(user):
    job = ended(ask("die", user))
    assert (job.state, job.message, job.step) == (State.INTERRUPTED, GONE, "about to die")


def test_progress_is_asked_for_each_second_until_it_is_stopped(client, user):
    job = running(ask("dawdle", user))
    text = client.get(f"/jobs/{job.pk}/progress/").text
    assert 'hx-trigger="every 1s"' in text
    assert f'value="{job.percent}"' in text or "<progress" in text
    assert is_held(job.lock)
    client.post(f"/jobs/{job.pk}/stop/")
    job = Job.objects.get(pk=job.pk)
    assert (job.state, job.message) == (State.INTERRUPTED, "Stopped by Auditor on this laptop.")
    deadline = time.monotonic() + WITHIN_S
    while is_held(job.lock) and time.monotonic() < deadline:
        time.sleep(0.1)
    assert not is_held(job.lock)


def test_one_that_waits_can_be_stopped(user):
    first = running(ask("dawdle", user))
    waiting = ask("add", user, numbers=[1])
    stop(waiting, "somebody")
    assert ended(waiting).message == "Stopped by somebody."
    stop(first, "somebody")
    assert Job.objects.get(pk=waiting.pk).result is None


def test_so_many_at_once_and_no_more(user, tmp_path):
    jobs = [ask("count-together", user, folder=str(tmp_path)) for _ in range(3)]
    assert [ended(job).state for job in jobs] == [State.DONE] * 3
    assert set((tmp_path / "seen.txt").read_text().split()) == {"1"}


def test_the_start_of_a_server_marks_what_was_running_when_all_was_killed(user):
    left = Job.objects.create(kind="add", asked_by=user, state=State.RUNNING, step="adding")
    settle_all()
    left.refresh_from_db()
    assert (left.state, left.message) == (State.INTERRUPTED, GONE)
    assert not end(left, State.DONE)


def test_nothing_starts_when_the_change_is_undone(user):
    class UndoneError(Exception):
        pass

    def ask_and_undo():
        with transaction.atomic():
            ask("add", user, numbers=[1])
            raise UndoneError

    with pytest.raises(UndoneError):
        ask_and_undo()
    assert not Job.objects.exists()


def test_an_unknown_kind_and_a_kind_declared_twice_are_refused(user):
    with pytest.raises(ValueError, match="no kind of job called nonsense"):
        ask("nonsense", user)
    with pytest.raises(ValueError, match="declared twice"):
        kind("add", "Again")(until)


def test_only_who_asked_and_the_programme_owner_see_a_job(visitor, user):
    other, colleague = (User.objects.create_user(name) for name in ("other", "colleague"))
    job = Job.objects.create(kind="add", asked_by=colleague, state=State.DONE, result={"says": "x"})
    for who, status in ((other, 404), (colleague, 200), (user, 200)):
        visitor.force_login(who)
        assert visitor.get(f"/jobs/{job.pk}/").status_code == status
        assert visitor.get(f"/jobs/{job.pk}/progress/").status_code == status
    visitor.force_login(other)
    assert visitor.post(f"/jobs/{job.pk}/stop/").status_code == 404


def test_the_process_steps_back_for_others(user):
    job = running(ask("dawdle", user))
    assert os.getpriority(os.PRIO_PROCESS, job.pid) > os.getpriority(os.PRIO_PROCESS, 0)
    stop(job, "the test")

"""One piece of long work: what was asked, how far it is, what came of it."""

import uuid
from pathlib import Path

from django.conf import settings
from django.db import models


class State(models.TextChoices):
    """Where a job stands; the last three are ends."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    INTERRUPTED = "interrupted"


OPEN = (State.WAITING, State.RUNNING)


class Job(models.Model):
    """Long work in a process of its own.

    `share_done` is 0 to 1, or nothing where it cannot be told. `result` is what the work returned;
    the pages show its `says` (a sentence) and `href` (where the result stands).
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=64)
    audit_id = models.CharField(max_length=64, null=True, blank=True, db_index=True)  # noqa: DJ001 - no audit is not an audit called ""
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True)
    arguments = models.JSONField(default=dict)
    state = models.CharField(max_length=16, choices=State, default=State.WAITING)
    step = models.CharField(max_length=200, blank=True)
    share_done = models.FloatField(null=True)
    result = models.JSONField(null=True)
    message = models.TextField(blank=True)
    pid = models.PositiveIntegerField(null=True)
    asked_at = models.DateTimeField(auto_now_add=True)
    started_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("-asked_at",)
        indexes = [models.Index(fields=("state", "asked_at"), name="jobs_by_state")]

    def __str__(self) -> str:
        return f"{self.kind}, {self.state}"

    @property
    def is_open(self) -> bool:
        """Whether it waits or runs."""
        return self.state in OPEN

    @property
    def percent(self) -> int | None:
        """The share for the eye; nothing where it is not known."""
        return None if self.share_done is None else round(100 * self.share_done)

    @property
    def lock(self) -> Path:
        """Held by the job's process for as long as it lives."""
        path: Path = settings.CONFIG.data.jobs / f"{self.pk}.lock"
        return path

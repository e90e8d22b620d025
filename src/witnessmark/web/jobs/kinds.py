"""The kinds of long work, by name.

An app declares its kinds in a module `job_kinds`, which is read when Django is set up:

    @kind("freeze", "Read and freeze the exports")
    def freeze(job: Job, tell: Tell) -> dict[str, Any]:
        tell("reading", 0.1)
        ...
        return {"says": "Seventeen tables are frozen.", "href": "/..."}

The function runs in a process of its own, reads `job.arguments`, and may be ended at any moment: it
writes beside its goal and renames.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from witnessmark.web.jobs.models import Job


class Tell(Protocol):
    """Says which step has begun, and the share done (0 to 1) where it is known."""

    def __call__(self, step: str, share: float | None = None) -> None:
        """Keeps step and share."""


Work = Callable[[Job, Tell], dict[str, Any] | None]


@dataclass(frozen=True)
class Kind:
    """A kind of long work: its name, what a page calls it, and the function."""

    name: str
    label: str
    work: Work


KINDS: dict[str, Kind] = {}


def kind(name: str, label: str) -> Callable[[Work], Work]:
    """Declares the function below it as a kind."""

    def declare(work: Work) -> Work:
        if name in KINDS:
            raise ValueError(f"The kind {name} is declared twice.")
        KINDS[name] = Kind(name, label, work)
        return work

    return declare

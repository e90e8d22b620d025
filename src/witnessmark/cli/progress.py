"""One line that says what is being done, and nothing where there is no terminal."""

import sys
from types import TracebackType
from typing import Self

from rich.console import Console
from rich.status import Status


class Steps:
    """Shows the current step while a command works."""

    def __init__(self) -> None:
        self._console = Console(stderr=True)
        self._status: Status | None = (
            self._console.status("starting") if sys.stderr.isatty() else None
        )

    def step(self, what: str) -> None:
        """Names the step that begins."""
        if self._status is not None:
            self._status.update(what)

    def stop(self) -> None:
        """Takes the line away before something is printed."""
        if self._status is not None:
            self._status.stop()

    def __enter__(self) -> Self:
        if self._status is not None:
            self._status.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()

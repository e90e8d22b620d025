"""What the log says: where something failed, never whose data it failed on."""

import logging
import traceback
from types import TracebackType


class WithoutValues(logging.Formatter):
    """Formats an exception as its place and its class, without its message.

    Messages of databases and parsers quote what they choked on, and that may be a name or a
    statement.
    """

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s", "%Y-%m-%d %H:%M:%S")

    def formatException(  # noqa: N802 - the name is logging's
        self,
        ei: tuple[type[BaseException], BaseException, TracebackType | None]
        | tuple[None, None, None],
    ) -> str:
        """Frames without values, then the class of the exception and of what caused it."""
        kind, error, trace = ei
        if kind is None or error is None:
            return ""
        frames = "".join(traceback.format_tb(trace)).rstrip()
        causes = [kind.__qualname__]
        while (error := error.__cause__ or error.__context__) is not None:
            causes.append(type(error).__qualname__)
        return f"{frames}\n" + ", caused by ".join(causes)

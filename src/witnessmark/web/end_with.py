"""No process outlives the one it works for, even where that one is killed outright."""

import multiprocessing
import os
import threading
from collections.abc import Callable
from multiprocessing.connection import wait

ORPHANED = 70


def end_with_parent() -> None:
    """Ends this process as soon as the process that started it (by multiprocessing) is gone.

    The operating system closes the parent's end of a pipe whatever ends the parent; where there is
    no such parent nothing happens.
    """
    parent = multiprocessing.parent_process()
    if parent is not None:
        sentinel = parent.sentinel
        _in_background(lambda: bool(wait([sentinel])))


def _in_background(is_over: Callable[[], bool]) -> None:
    def watch() -> None:
        if is_over():
            # Not sys.exit: other threads may hang in native code. What is not committed is undone.
            os._exit(ORPHANED)

    threading.Thread(target=watch, name="end-with-parent", daemon=True).start()

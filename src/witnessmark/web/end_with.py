"""No process outlives the one it works for, even where that one is killed outright."""

import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from multiprocessing.connection import wait

from witnessmark.web.data_folder import DataFolder
from witnessmark.web.locks import is_held

ORPHANED = 70
LOOK_S = 1.0
SERVED = "WITNESSMARK_SERVED"
"""Set by a server for everything that it starts."""


def end_with_parent() -> None:
    """Ends this process as soon as the process that started it (by multiprocessing) is gone.

    The operating system closes the parent's end of a pipe whatever ends the parent; where there is
    no such parent nothing happens.
    """
    parent = multiprocessing.parent_process()
    if parent is not None:
        sentinel = parent.sentinel
        _in_background(lambda: bool(wait([sentinel])))


def end_with_server(data: DataFolder) -> None:
    """Ends this process, and what it started, soon after the server that it works for is gone.

    Where no server asked for the work nothing happens.
    """

    def is_over() -> bool:
        while is_held(data.lock):
            time.sleep(LOOK_S)
        return True

    if os.environ.get(SERVED) == "1":
        _in_background(is_over)


def _in_background(is_over: Callable[[], bool]) -> None:
    def watch() -> None:
        if is_over():
            # Not sys.exit: other threads may hang in native code. What is not committed is undone.
            if sys.platform != "win32" and os.getpgrp() == os.getpid():
                os.killpg(os.getpgrp(), signal.SIGKILL)
            os._exit(ORPHANED)

    threading.Thread(target=watch, name="end-with", daemon=True).start()

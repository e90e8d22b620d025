"""Locks that the operating system takes back when their holder dies, however it dies.

A lock is a file; who holds it is known to the system alone, so nothing stays behind after a crash.
"""

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

WAIT_S = 0.1

if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


class Lock:
    """A lock that is held until it is given back or the process ends."""

    def __init__(self, handle: int) -> None:
        self._handle = handle

    def give_back(self) -> None:
        """Lets others have it."""
        os.close(self._handle)


def take(path: Path) -> Lock | None:
    """The lock, or nothing where somebody holds it."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        _lock(handle)
    except OSError:
        os.close(handle)
        return None
    return Lock(handle)


def is_held(path: Path) -> bool:
    """Whether somebody holds it at this moment."""
    if not path.exists():
        return False
    lock = take(path)
    if lock is None:
        return True
    lock.give_back()
    return False


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Waits for the lock and holds it for a while."""
    while (lock := take(path)) is None:
        time.sleep(WAIT_S)
    try:
        yield
    finally:
        lock.give_back()

"""The journal in the database: two writers at once, and processes killed while they write."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from tests.audit.strategies import AUDIT
from tests.audit.writers import write_at_once

WRITER = Path(__file__).with_name("writer.py")
SECONDS = 15
LEAST_KILLS = 10


def test_two_writers_at_once_lose_nothing(database):
    from django.db import connections

    from witnessmark.web.store.desk import desk

    write_at_once(desk(), AUDIT, finish=connections.close_all)


class Nursery:
    """Starts one writing process after the other, and keeps what was acknowledged."""

    def __init__(self, folder):
        environment = {k: v for k, v in os.environ.items() if not k.startswith("WITNESSMARK")}
        environment.pop("DJANGO_SETTINGS_MODULE", None)
        self.process = subprocess.Popen(
            [sys.executable, WRITER, folder],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            text=True, env=environment,
        )  # fmt: skip
        self.acknowledged, self.child = [], 0

    def begin(self, how):
        """Starts a process; gives what it found, which must hold all that was acknowledged."""
        self.process.stdin.write(f"{how}\n")
        self.process.stdin.flush()
        found, before, self.child, is_ready = [], set(self.acknowledged), 0, False
        while not (is_ready and self.child):
            line = self.line()
            is_ready = is_ready or line == ["ready"]
            if line[0] == "found":
                found.append(line[1])
        assert len(found) == len(set(found))
        assert before <= set(found)
        return found

    def line(self):
        """The next thing it says; an acknowledgement is kept."""
        words = self.process.stdout.readline().split()
        assert words, self.process.stderr.read()
        assert words[0] in {"found", "kept", "ready", "child", "gone"}, words
        if words[0] == "kept":
            self.acknowledged.append(words[1])
        elif words[0] == "child":
            self.child = int(words[1])
        return words

    def kill(self):
        """Kills the process, without a chance to end anything; takes in what it had still said."""
        os.kill(self.child, signal.SIGKILL)
        while self.line() != ["gone"]:
            pass


@pytest.fixture
def nursery(tmp_path):
    nursery = Nursery(tmp_path / "data")
    yield nursery
    nursery.process.stdin.close()
    nursery.process.wait(timeout=60)
    nursery.process.stdout.close()
    nursery.process.stderr.close()


def test_processes_killed_while_they_write_lose_nothing_acknowledged(nursery):
    """Killed at random points, many times; each next one reads all, and writes on."""
    rng, kills, began = random.Random(7), 0, None
    while began is None or time.monotonic() - began < SECONDS or kills < LEAST_KILLS:
        nursery.begin("write")
        began = began or time.monotonic()
        for _ in range(rng.randint(0, 12)):
            nursery.line()
        time.sleep(rng.random() * 0.02)
        nursery.kill()
        kills += 1
    found = nursery.begin("look")
    assert nursery.line() == ["gone"]
    # Two threads write: each may have had one event on disk when it was killed, not yet said.
    assert 0 <= len(found) - len(nursery.acknowledged) <= 2 * kills
    assert len(nursery.acknowledged) > kills

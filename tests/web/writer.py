"""Processes that write into an installation until they are killed; run by `test_journal_kept`.

For every line on its input this process forks one that opens the database anew, says what it
finds, and then writes from two threads, saying each id once it is acknowledged.
"""

import os
import sys
from pathlib import Path
from threading import Thread

from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.journal import check_chain
from witnessmark.audit.people import Actor, Role
from witnessmark.web.start import migrate, set_up

AUDIT = "0b7f3c52-2f0e-4f59-9d38-0d9a1f3f6f01"
LEAD = Actor("u1", Role.LEAD)
MOST = 2000


def say(*words):
    """One line in one write, so that a kill leaves it whole or unsaid."""
    os.write(1, (" ".join(words) + "\n").encode())


def look(desk):
    """Reads the whole journal, and every text in it."""
    received = desk.store.received(AUDIT)
    check_chain(received)
    for item in received:
        mark = item.event.body.get("words", "")
        if mark and desk.store.reveal(mark) is None:
            say("lost-text", item.event.id)
        say("found", item.event.id)
    if len(desk.state(AUDIT).statements) != max(0, len(received) - 1):
        say("lost-statement")
    if not received:
        say("kept", desk.act(AUDIT, LEAD, OpenAudit(title="Turning", process="x")).event.id)
    say("ready")


def write(desk, name):
    for number in range(MOST):
        said = desk.act(AUDIT, LEAD, HearStatement(role=name), {"words": f"{name} {number}"})
        say("kept", said.event.id)


def work(how):
    from witnessmark.web.store.desk import desk

    look(desk())
    if how == "write":
        threads = [Thread(target=write, args=(desk(), name), daemon=True) for name in "ab"]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()


def main():
    set_up(Path(sys.argv[1]))
    migrate()
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            work(line.strip())
            os._exit(0)
        say("child", str(child))
        os.waitpid(child, 0)
        say("gone")


if __name__ == "__main__":
    main()

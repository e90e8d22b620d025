"""How quickly pages answer: twenty people on one audit of five thousand events, a hundred audits.

`make bench` runs it with tests/web on the path, whose real server and plain browser it uses. It
fills an installation on SQLite and one on PostgreSQL through the actions, serves each with the real
server, lets twenty signed-in people read and write for a while, and writes docs/bench_web.md. It
asserts nothing. It runs in the environment of the application.
"""

import os
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path

from live import Answer, LiveServer, Visit, start_server
from private_postgresql import new_database, private_server

from bench.machine import machine

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "docs" / "bench_web.md"
PEOPLE, SECONDS, THINKS_S, WRITES_EVERY = 20, 30, 1.0, 10
OK = 200
PACKAGES = ("django", "granian", "psycopg")
PARTS = {
    "list of audits": "/",
    "trails": "/audit/{audit}/",
    "said": "/audit/{audit}/said/",
    "seen": "/audit/{audit}/seen/",
    "promises": "/audit/{audit}/promises/",
    "findings": "/audit/{audit}/findings/",
    "closing": "/audit/{audit}/closing/",
    "journal": "/audit/{audit}/journal/",
}
WRITES = "a statement (three answers)"
HEAD = """# How quickly the application answers

`make bench` writes this page. {people} signed-in auditors work on one audit of 5,000 events, with
100 audits in the list; each asks for a page, reads for a second, and writes a statement every tenth
time. The server runs as `witnessmark serve --server` runs it, over loopback without TLS, on the
machine that also plays the twenty people. PostgreSQL is one private server on the same disk. A
statement is three answers: its form, the one to what was sent, and the page that follows.

Machine: {machine} {seconds} seconds each.

| | SQLite, median | one in twenty slower than | PostgreSQL, median | one in twenty slower than |
|---|---|---|---|---|
"""


@dataclass
class Times:
    """Seconds of each answer, by part; and what was refused or failed."""

    parts: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    failed: list[str] = field(default_factory=list)

    def cells(self, part: str) -> str:
        """Median and the border of the slowest twentieth, as cells of the table."""
        taken = self.parts[part]
        slow = statistics.quantiles(taken, n=20)[-1]
        return f"{statistics.median(taken) * 1000:.0f} ms | {slow * 1000:.0f} ms"


def say(visit: Visit, audit: str, words: str) -> Answer:
    """Writes a statement down and sees the page that follows."""
    form = {"role": "setter", "words": words, "language": "en", "read_back": "agreed"}
    return visit.post(f"/audit/{audit}/said/new/", form)


def sign_in(server: LiveServer, number: int) -> Visit:
    """Somebody's browser, one after the other: many at once from one address are slowed down."""
    visit = Visit(server.url)
    name = {"login_name": f"person{number}", "password": "a long and quiet sentence"}
    visit.post("/sign-in/", name)
    return visit


def work(visit: Visit, audit: str, number: int, until: float, times: Times) -> None:
    """One person: reads in turn, thinks, writes every tenth time."""
    turns = list(PARTS.items())
    turn = number
    while time.monotonic() < until:
        turn += 1
        part, path = turns[turn % len(turns)]
        start = time.monotonic()
        if turn % WRITES_EVERY == 0:
            part, answer = WRITES, say(visit, audit, f"said by {number} at {turn}")
        else:
            answer = visit.get(path.format(audit=audit))
        if answer.status == OK and "sign-in" not in answer.url:
            times.parts[part].append(time.monotonic() - start)
        else:
            times.failed.append(f"{part}: {answer.status} {answer.url}")
        time.sleep(THINKS_S)


def measure(data: Path, database: str) -> Times:
    """Fills, serves, lets twenty people work."""
    environment = {"WITNESSMARK_DATABASE": database}
    filled = subprocess.run(
        [sys.executable, "-m", "bench.web_filling", str(data), str(PEOPLE)],
        env=os.environ | environment, cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    audit, times = filled.stdout.split()[-1], Times()
    server = start_server(data, "--server", "--host", "127.0.0.1", **environment)
    visits = [sign_in(server, number) for number in range(PEOPLE)]
    until = time.monotonic() + SECONDS
    people = [
        threading.Thread(target=work, args=(visit, audit, number, until, times))
        for number, visit in enumerate(visits)
    ]
    for person in people:
        person.start()
    for person in people:
        person.join()
    server.stop(signal.SIGTERM)
    return times


def main() -> None:
    """Measures both databases and writes the page."""
    with tempfile.TemporaryDirectory() as place, private_server(durable=True) as folder:
        both = {
            "SQLite": measure(Path(place) / "sqlite", ""),
            "PostgreSQL": measure(Path(place) / "postgresql", new_database(folder)),
        }
    text = HEAD.format(people=PEOPLE, seconds=SECONDS, machine=machine(PACKAGES))
    for part in (*PARTS, WRITES):
        text += f"| {part} | {' | '.join(times.cells(part) for times in both.values())} |\n"
    for name, times in both.items():
        answers = sum(map(len, times.parts.values()))
        text += f"\n{name}: {answers:,} answers, {len(times.failed)} refused or failed.\n"
        print(times.failed[:5])
    print(text)
    PAGE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()

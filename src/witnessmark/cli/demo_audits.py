"""The two audits of the demo: their records, and the journals written through the actions."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from uuid import uuid4

from witnessmark.audit.people import Actor, Role
from witnessmark.practice.audits.evening import seen_on_the_visit
from witnessmark.practice.audits.october import write_october
from witnessmark.practice.audits.records import Records
from witnessmark.practice.audits.scribe import Scribe
from witnessmark.practice.audits.today import write_today
from witnessmark.practice.clip import clipped
from witnessmark.practice.exports import write_canonical
from witnessmark.practice.plant import PracticePlant, build
from witnessmark.record_tests.kept import load_kept
from witnessmark.report.run import Run, keep_run, run_folder
from witnessmark.web.start import prepare, set_up


@dataclass(frozen=True)
class Weeks:
    """One extract of the demo: its days, and as they are printed."""

    first: date
    last: date
    words: str


BEFORE = Weeks(date(2026, 8, 31), date(2026, 10, 11), "31 August to 11 October 2026")
SINCE = Weeks(date(2026, 10, 19), date(2026, 11, 22), "19 October to 22 November 2026")


@dataclass(frozen=True)
class DemoRecords:
    """Freezes of the two extracts, and what was seen on the evening of the visit."""

    home: Path
    before: str
    since: str
    seen: dict[str, str]

    def of(self, freeze: str, weeks: Weeks) -> Records:
        """A freeze with its kept outcomes."""
        outcomes = load_kept(self.home / freeze)
        return Records(freeze, weeks.words, {outcome.slug: outcome for outcome in outcomes})


def demo_records(exports: Path, home: Path, seed: int) -> DemoRecords:
    """Writes both extracts, freezes them, runs the tests and keeps what they say.

    Args:
        exports: Where the extracts are written.
        home: The folder of frozen records of the installation.
        seed: Of the plant.
    """
    plant = build(seed)
    before, _ = _freeze(plant, BEFORE, exports / "before", home)
    since, seen = _freeze(plant, SINCE, exports / "since", home)
    return DemoRecords(home, before, since, seen)


def _freeze(
    plant: PracticePlant, weeks: Weeks, folder: Path, home: Path
) -> tuple[str, dict[str, str]]:
    write_canonical(clipped(plant, weeks.first, weeks.last), folder)
    home.mkdir(parents=True, exist_ok=True)
    with run_folder(folder, lambda _: None, out=home) as run:
        keep_run(run, folder)
        return run.freeze.identity, _seen(run) if weeks is SINCE else {}


def _seen(run: Run) -> dict[str, str]:
    return seen_on_the_visit(run.battery.timeline)


def write_audits(data: Path, records: DemoRecords) -> None:
    """Writes the audit of October and the one under way into an installation.

    Args:
        data: Its data folder.
        records: Both freezes lie in it.
    """
    set_up(data)
    prepare()
    # Models can be imported only once Django is set up.
    from witnessmark.web.accounts.models import User  # noqa: PLC0415 - Django must be set up first
    from witnessmark.web.desk.working.taking_in import hold_seen  # noqa: PLC0415 - as above
    from witnessmark.web.store.desk import code_of, desk  # noqa: PLC0415 - Django must be set up first

    lead = Actor(code_of(User.objects.local()), Role.LEAD)
    now = datetime.now(UTC)
    before = records.of(records.before, BEFORE)
    since = records.of(records.since, SINCE)
    write_october(Scribe(desk(), str(uuid4()), lead, now), before, since)
    under_way = str(uuid4())
    write_today(Scribe(desk(), under_way, lead, now), now, since, records.seen)
    hold_seen(under_way, lead, records.since, _silently)


def _silently(step: str, share: float | None = None) -> None:
    """Says nothing of the steps: the demo has its own line."""
    del step, share

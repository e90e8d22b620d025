"""A small shop whose records are frozen and tested, and an audit that cites them."""

from dataclasses import dataclass
from pathlib import Path

import pytest
from tests.audit.conftest import AUDIT, DESK, LEAD, Clock

from witnessmark.audit.act import Desk
from witnessmark.audit.actions.answer_statement import AnswerStatement
from witnessmark.audit.actions.destroy_text import DestroyText
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.record_outcomes import RecordOutcomes
from witnessmark.audit.actions.take_in_records import TakeInRecords
from witnessmark.audit.actions.take_photo import TakePhoto
from witnessmark.audit.canonical import sha256
from witnessmark.audit.cited import Cited, Fact, Requirement
from witnessmark.audit.memory import MemoryStore
from witnessmark.audit.recorded import result_of
from witnessmark.audit.seal import Installation, seal
from witnessmark.audit.signing import Signer
from witnessmark.criteria.load import load_criteria
from witnessmark.record_tests.battery import run_battery
from witnessmark.record_tests.kept import keep
from witnessmark.records.freeze import freeze_folder
from witnessmark.records.plant import load_plant
from witnessmark.records.reopen import open_freeze

FILES = {
    "plant.toml": 'zone = "Europe/Berlin"\nname = "A small shop"\nperiod_from = 2026-03-01\n',
    "criteria.toml": '[late_entry_min]\nvalue = 20\ndocument = "WI-07 rev 3"\n',
    "runs.csv": "run_id,machine_id,part_no,start_at,end_at,good\n"
    "r1,M1,P1,2026-03-02 06:00,2026-03-02 14:00,400\n",
    "checks.csv": "check_id,machine_id,part_no,kind,done_at,entered_at,result,done_by\n"
    "c1,M1,P1,patrol,2026-03-02 07:00,2026-03-02 07:05,pass,\n"
    "c2,M1,P1,patrol,2026-03-02 09:00,2026-03-02 13:50,pass,\n"
    "c3,M1,P1,patrol,2026-03-02 10:00,2026-03-02 10:25,pass,\n"
    "c4,M1,P1,patrol,2026-03-02 11:00,2026-03-02 11:19,pass,\n",
}
TESTS = ("late-entry", "check-while-stopped", "suspect-shipped")
SAID_IN_TRUST = "the night leader signs the sheet before anybody has measured"
DESTROYED = "a sentence that nobody may read again"
PLAIN = "every check is entered at once"
PHOTO, GONE = b"\xff\xd8 a photo" * 100_000, b"a photo that was destroyed"
KEY = Signer(bytes(range(32)))


@dataclass
class Shop:
    """Frozen records, with outcomes kept beside them."""

    folder: Path
    identity: str
    outcomes: dict


@pytest.fixture(scope="session")
def shop(tmp_path_factory):
    """The frozen records of the small shop."""
    exports = tmp_path_factory.mktemp("exports")
    for name, text in FILES.items():
        (exports / name).write_text(text, encoding="utf-8")
    freeze = freeze_folder(exports, tmp_path_factory.mktemp("records"))
    store = open_freeze(freeze.path)
    criteria = load_criteria(exports / "criteria.toml")
    battery = run_battery(store, load_plant(exports), criteria, TESTS, None, with_sensitivity=False)
    store.con.close()
    keep(battery.outcomes, freeze.path)
    return Shop(freeze.path, freeze.identity, {one.slug: one for one in battery.outcomes})


@dataclass
class Cast:
    """An audit under way, and the ids of what is in it."""

    desk: Desk
    place: Installation
    shop: Shop
    trail: str
    protected: str
    secret_events: tuple[str, ...]

    def act(self, action, texts=None, **more):
        return self.desk.act(AUDIT, LEAD, action, texts, **more).event

    def cited(self, **more):
        late = self.shop.outcomes["late-entry"]
        told = {
            "kind": "outcome",
            "freeze": self.shop.identity,
            "slug": "late-entry",
            "digest": late.digest,
            "exceptions": late.counts.exceptions,
            "assessed": late.counts.assessed,
        }
        return Cited(**told | more)

    def finding(self, x, n, **more):
        fact = Fact(text="late entries in March", x=x, n=n, cited=self.cited(**more))
        return DraftFinding(
            trail=self.trail,
            requirement=Requirement(standard="ISO 9001", clause="7.5.3"),
            statement="Checks are entered late.",
            facts=(fact,),
        )


@pytest.fixture
def cast(shop):
    """An audit with a protected source, a destroyed text, photos, a trail and its evidence."""
    store, files = MemoryStore(), {sha256(PHOTO): PHOTO}
    desk = Desk(store, DESK, KEY, Clock())
    place = Installation(
        store, KEY, lambda freeze: shop.folder if freeze == shop.identity else None, files.get,
        desk.clock,
    )  # fmt: skip
    cast = Cast(desk, place, shop, "", "", ())
    cast.act(OpenAudit(title="Turning", process="bar turning"))
    said = cast.act(HearStatement(role="setter"), {"words": PLAIN}).id
    gone = cast.act(HearStatement(role="leader"), {"words": DESTROYED})
    secret = cast.act(HearStatement(role="night shift", protected=True), {"words": SAID_IN_TRUST})
    corrected = cast.act(
        HearStatement(role="night shift"), {"words": SAID_IN_TRUST + "!"}, supersedes=secret.id
    )
    cast.protected = secret.id
    trail = cast.act(OpenTrail(
        proposition="entries are made late", rival="a slow terminal",
        origin=Cited("statement", id=secret.id),
    ))  # fmt: skip
    cast.trail = trail.id
    link = cast.act(LinkEvidence(trail=trail.id, cited=Cited("statement", id=secret.id)))
    note = cast.act(
        MakeObservation(seen_at="2026-03-24T05:00:00Z"),
        {"note": "I heard that the night leader signs the sheet before it is done"},
    )
    cast.secret_events = (secret.id, corrected.id, link.id, note.id)
    photo = cast.act(TakePhoto(sha256=sha256(PHOTO), size=len(PHOTO)))
    cast.act(TakePhoto(sha256=sha256(GONE), size=len(GONE)))
    for mark in (gone.body["words"], sha256(GONE)):
        cast.act(DestroyText(mark=mark, reason="asked for"))
    store.destroy(gone.body["words"])
    cast.act(TakeInRecords(freeze=shop.identity))
    results = tuple(result_of(one) for one in shop.outcomes.values())
    cast.act(RecordOutcomes(freeze=shop.identity, results=results))
    row = cast.cited(kind="row", ref="c2", exceptions=None, assessed=None)
    for cited in (cast.cited(), row, Cited("photo", id=photo.id)):
        cast.act(LinkEvidence(trail=trail.id, cited=cited))
    cast.act(AnswerStatement(statement=said, how="records", cited=cast.cited()))
    return cast


@pytest.fixture
def sealed(cast, tmp_path):
    """Seals the audit in a width."""

    def make(width="everything", name="audit.witness"):
        return seal(cast.place, AUDIT, tmp_path / name, width)

    return make

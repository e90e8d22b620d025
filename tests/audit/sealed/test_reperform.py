"""Re-performing: what comes out again, what differs, and what cannot be done, said plainly."""

import json
import tracemalloc
from dataclasses import replace

import duckdb
import pytest
from tests.audit.conftest import AUDIT, DESK
from tests.audit.sealed.conftest import KEY

from witnessmark.audit import recorded
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.grade_finding import GradeFinding
from witnessmark.audit.actions.issue_finding import IssueFinding
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.record_outcomes import RecordOutcomes
from witnessmark.audit.actions.take_in_records import TakeInRecords
from witnessmark.audit.actions.verify_finding import VerifyFinding
from witnessmark.audit.cited import Fact, Requirement
from witnessmark.audit.container import BrokenSealError, Writer, name_of
from witnessmark.audit.effect import HOURS, UNITS
from witnessmark.audit.event import Event
from witnessmark.audit.journal import BrokenChainError
from witnessmark.audit.recorded import result_of
from witnessmark.audit.reperform import reperform
from witnessmark.audit.reperformed import as_text
from witnessmark.audit.rerun import run_again
from witnessmark.audit.seal import seal
from witnessmark.audit.sealed_audit import read_sealed
from witnessmark.audit.signing import Signer
from witnessmark.errors import UnusableInputError
from witnessmark.records.manifest import sha256_of


def test_everything_comes_out_again(sealed, cast):
    cast.act(cast.finding(2, 4))
    result = reperform(sealed().path)
    assert result.holds
    assert {check.verdict for check in result.checks} == {"holds"}
    wheres = {check.claim.where.split(",")[0].split(" (")[0] for check in result.checks}
    assert {"finding 1", "trail 1", "statement 1"} <= wheres
    assert {check.claim.what for check in result.checks} == {
        "exceptions", "assessed", "population", "not assessable", "status", "row",
    }  # fmt: skip
    text = as_text(result)
    assert "“Turning”" in text
    assert "0 differ, 0 could not be recomputed" in text
    assert result.key in text


def test_a_finding_that_says_another_number_is_named_with_both(sealed, cast):
    cast.act(cast.finding(3, 4))
    for width in ("everything", "cited"):
        result = reperform(sealed(width, f"{width}.witness").path)
        first = result.first_difference
        assert (first.claim.said, first.found) == (3, 2)
        assert first.claim.where == "finding 1, fact 1 (late entries in March)"
        assert "said 3, found 2" in as_text(result)
        assert not result.holds


def test_on_outcomes_alone_a_number_is_held_against_the_journal(sealed, cast):
    cast.act(cast.finding(2, 5))
    result = reperform(sealed("outcomes").path)
    first = result.first_difference
    assert (first.claim.what, first.claim.said, first.found) == ("assessed", 5, 4)
    assert "recorded" in first.why
    others = [check for check in result.checks if check is not first]
    assert {check.verdict for check in others} == {"not recomputed"}
    assert all("neither rows nor records" in check.why for check in others)


def test_on_cited_rows_exceptions_are_counted_and_the_rest_is_said(sealed, cast):
    cast.act(cast.finding(2, 4))
    result = reperform(sealed("cited").path)
    assert result.holds
    told = {(c.claim.what, c.verdict) for c in result.checks if not c.claim.recorded}
    assert told == {
        ("exceptions", "holds"), ("row", "holds"), ("assessed", "not recomputed"),
    }  # fmt: skip
    assert "how many were looked at is not in them" in as_text(result)


@pytest.mark.parametrize("width", ["cited", "everything"])
def test_a_stratum_is_recomputed(sealed, cast, shop, width):
    ((value, counts),) = shop.outcomes["late-entry"].strata["attendance"].items()
    stratum = f"attendance={value}"
    said = {"kind": "stratum", "stratum": stratum, "assessed": counts.assessed}
    for exceptions in (counts.exceptions, counts.exceptions + 1):
        cited = cast.cited(**said, exceptions=exceptions)
        cast.act(LinkEvidence(trail=cast.trail, cited=cited))
    checks = [c for c in reperform(sealed(width).path).checks if c.claim.stratum == stratum]
    counted = [(c.claim.said, c.verdict) for c in checks if c.claim.what == "exceptions"]
    assert counted == [(2, "holds"), (3, "differs")]


def test_a_row_that_is_not_there_differs(sealed, cast):
    cast.act(LinkEvidence(trail=cast.trail, cited=cast.cited(kind="row", ref="c4")))
    first = reperform(sealed().path).first_difference
    assert (first.claim.what, first.claim.said, first.found) == ("row", "c4", None)


def test_a_recorded_outcome_that_does_not_come_out_differs(sealed, cast, shop):
    wrong = replace(shop.outcomes["late-entry"], counts=replace(
        shop.outcomes["late-entry"].counts, conforming=7))  # fmt: skip
    cast.act(RecordOutcomes(freeze=shop.identity, results=(result_of(wrong),)))
    first = reperform(sealed().path).first_difference
    assert (first.claim.recorded, first.claim.said, first.found) == (True, 9, 4)


def test_another_text_of_the_test_is_said_and_not_called_a_difference(
    sealed, cast, shop, monkeypatch
):
    """An audit made with another version: other text, other digest, other number."""
    late = shop.outcomes["late-entry"]
    older = replace(late, digest="0" * 16, counts=replace(late.counts, conforming=9))
    cast.act(RecordOutcomes(freeze=shop.identity, results=(result_of(older),)))
    cited = cast.cited(assessed=11, digest="0" * 16)
    cast.act(LinkEvidence(trail=cast.trail, cited=cited))
    monkeypatch.setattr(recorded, "test_text", lambda _: "an older text")
    path = sealed().path
    monkeypatch.undo()
    result = reperform(path)
    assert result.holds
    (odd,) = [c for c in result.checks if c.claim.said == 11 and not c.claim.recorded]
    assert odd.verdict == "not recomputed"
    assert "text of this record test is not the one" in odd.why
    assert "this version finds 4" in odd.why


def test_a_test_that_this_version_does_not_have_is_said(sealed, monkeypatch):
    path = sealed().path
    monkeypatch.setattr("witnessmark.audit.rerun.catalogue", dict)
    result = reperform(path)
    assert result.holds
    assert {check.verdict for check in result.checks} == {"not recomputed"}
    assert "no such record test" in as_text(result)


def test_the_criteria_it_ran_under_travel_with_it(sealed):
    """Under the default of 30 minutes only one entry would be late; the plant's own says 20."""
    result = reperform(sealed().path)
    said = {c.claim.said for c in result.checks if c.claim.of == "exceptions of late-entry"}
    assert said == {2}
    assert result.holds


@pytest.fixture
def verified(cast, shop):
    """An issued finding that was verified on records which are not kept here."""
    finding = cast.act(cast.finding(2, 4)).id
    cast.act(GradeFinding(finding=finding, grade="minor", reason="limited"))
    cast.act(IssueFinding(finding=finding))
    cast.act(TakeInRecords(freeze="ab" * 16, purpose="verification"))

    def verify(x, n, exposure=UNITS):
        cast.act(VerifyFinding(
            finding=finding, slug="late-entry", before_freeze=shop.identity,
            after_freeze="ab" * 16, exposure=exposure, before_x=x, before_exposure=n, after_x=0,
            after_exposure=9.5, verdict="not shown yet", text="",
        ))  # fmt: skip

    return verify


def of_verification(result):
    checks = [check for check in result.checks if "verification" in check.claim.where]
    return [(check.claim.what, check.verdict) for check in checks], checks


def test_a_verification_counts_again_what_it_can(sealed, verified):
    verified(2, 4)
    said = sealed()
    assert any("ab" * 16 in missing for missing in said.missing)
    told, checks = of_verification(reperform(said.path))
    assert told == [
        ("exceptions", "holds"),
        ("assessed", "holds"),
        ("exceptions", "not recomputed"),
        ("assessed", "not recomputed"),
    ]
    assert checks[2].why == "the records are not in this file."


def test_the_time_that_set_an_action_off_may_be_left_out_but_nothing_added(sealed, verified):
    verified(1, 3)
    told, checks = of_verification(reperform(sealed(name="1.witness").path))
    assert told[:2] == [("exceptions", "not recomputed"), ("assessed", "not recomputed")]
    assert "the whole period gives 2" in checks[0].why
    verified(3, 4)
    told, _ = of_verification(reperform(sealed(name="2.witness").path))
    assert told[4:6] == [("exceptions", "differs"), ("assessed", "holds")]


def test_running_hours_are_said_not_to_be_recomputed(sealed, verified):
    verified(2, 61.5, HOURS)
    told, _ = of_verification(reperform(sealed().path))
    assert told[1] == ("exposure in running hours", "not recomputed")


def test_a_finding_without_records_is_said(sealed, cast):
    fact = Fact(text="boards read on the floor", x=3, n=7)
    cast.act(DraftFinding(requirement=Requirement(), statement="x", facts=(fact,)))
    left = reperform(sealed().path).with_verdict("not recomputed")
    assert [(c.claim.what, c.claim.said, c.why) for c in left] == [
        ("x", 3, "it cites no outcome of the records"),
        ("n", 7, "it cites no outcome of the records"),
    ]


def resealed(path, out, change, key=KEY):
    """A forger's work: parts changed, then sealed again as if nothing had been."""
    parts = [json.loads(line) for line in path.read_text("utf-8").splitlines()[:-1]]
    with out.open("wb") as file:
        writer = Writer(file)
        for part in change(parts):
            writer.add(name_of(part), part)
        writer.close(key)
    return out


def test_a_forged_journal_is_named_although_it_is_sealed_anew(sealed, tmp_path):
    def change(parts):
        parts[3]["event"]["body"]["role"] = "plant manager"
        return parts

    with pytest.raises(BrokenChainError, match="Entry 3 of the journal differs") as refused:
        reperform(resealed(sealed().path, tmp_path / "b.witness", change))
    assert refused.value.seq == 3


@pytest.mark.parametrize(
    ("kind", "change", "said"),
    [
        ("text", {"text": "never"}, "not the text that its mark"),
        ("file", {"sha256": "0" * 64}, "not the one whose hash"),
        ("file", {"name": "../../outside"}, "not the next piece"),
        ("file", {"name": "records/abcdefab/.."}, "not the next piece"),
        ("file", {"data": "%"}, "no bytes of a file"),
        ("file", {"piece": 2}, "not the next piece"),
        ("header", {"head": "0" * 64}, "does not name the last entry"),
        ("header", {"withheld": 9}, "it says"),
        ("header", {"width": "wide"}, "does not hold what it should"),
        ("outcome", {"part": "else"}, "does not know"),
    ],
)
def test_parts_that_do_not_fit_each_other_are_named(sealed, tmp_path, kind, change, said):
    def forge(parts):
        part = next(part for part in parts if part["part"] == kind)
        part.update(change)
        return parts

    with pytest.raises(BrokenSealError, match=said):
        reperform(resealed(sealed().path, tmp_path / "b.witness", forge))
    assert not (tmp_path / "outside").exists()


def test_forged_records_are_found_although_all_hashes_were_made_anew(tmp_path, shop, cast):
    """A row taken out of the frozen table, its file hash put right: the digest of rows tells."""
    place = tmp_path / "forged"
    place.mkdir()
    for file in shop.folder.iterdir():
        if file.is_file():
            (place / file.name).write_bytes(file.read_bytes())
    checks = place / "checks.parquet"
    with duckdb.connect() as con:
        con.execute(f"create table t as from '{checks}' where check_id <> 'c2'")
        con.execute(f"copy t to '{checks}' (format parquet)")
    manifest = json.loads((place / "manifest.json").read_text())
    manifest["tables"]["checks"] |= {"sha256": sha256_of(checks), "size": checks.stat().st_size}
    (place / "manifest.json").write_text(json.dumps(manifest))
    forged = replace(cast.place, records=lambda _: place)
    result = reperform(seal(forged, AUDIT, tmp_path / "c.witness", "everything").path)
    assert not result.holds
    assert "the rows of checks are not those that were frozen" in result.first_difference.why


def test_a_newer_form_and_other_files_cannot_be_used(sealed, tmp_path):
    path = sealed("outcomes").path

    def newer(parts):
        parts[0]["v"] = 2
        return parts

    with pytest.raises(UnusableInputError, match="newer version"):
        reperform(resealed(path, tmp_path / "n.witness", newer))
    for name, data in {"empty": b"", "text": b"hello\n", "binary": bytes(range(256)) * 9}.items():
        (tmp_path / name).write_bytes(data)
        with pytest.raises(UnusableInputError):
            reperform(tmp_path / name)
    with pytest.raises(UnusableInputError, match="cannot be read"):
        reperform(tmp_path / "nothing")
    with pytest.raises(UnusableInputError, match="cannot be read"):
        reperform(tmp_path)


def test_events_of_a_newer_version_are_kept_and_said(sealed, cast):
    store = cast.place.store
    last = store.last_of(AUDIT, DESK)
    event = Event(
        id="7f0c8c0a-6a53-4a1b-8f6e-7a0d5a3d9f10", audit=AUDIT, device=DESK,
        device_seq=last.device_seq + 1, previous=last.hash, at="2026-03-24T09:00:00Z",
        offset_min=0, author="lead", kind="weather-noted", body={"sky": "grey"},
    )  # fmt: skip
    cast.desk._append(event, {}, cast.desk.clock())
    result = reperform(sealed().path)
    assert result.state.unknown == {"weather-noted"}
    assert "weather-noted" in as_text(result)
    assert result.holds


def test_a_seal_by_another_key_than_the_journals_is_said(sealed, tmp_path):
    other = Signer(bytes(32))
    result = reperform(
        resealed(sealed().path, tmp_path / "o.witness", lambda parts: parts, key=other)
    )
    assert result.key == other.public
    assert "under another key than the one that sealed" in as_text(result)


def test_memory_does_not_grow_with_the_file(cast, tmp_path):
    """A file of 32 MB is sealed and read in far less than its size."""
    big = tmp_path / "big"
    big.mkdir()
    for file in cast.shop.folder.iterdir():
        if file.is_file():
            (big / file.name).write_bytes(file.read_bytes())
    size = 32 * 1024 * 1024
    with (big / "refused.csv").open("wb") as file:
        file.truncate(size)
    place = replace(cast.place, records=lambda _: big)
    tracemalloc.start()
    said = seal(place, AUDIT, tmp_path / "big.witness", "everything")
    read_sealed(said.path, tmp_path / "out")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert said.path.stat().st_size > size
    assert peak < size / 4


def test_what_the_file_carries_gives_the_digests_of_the_audit(sealed, shop, tmp_path):
    """Same texts, criteria, period, zone and rows: the same digest, not the same counts alone."""
    audit = read_sealed(sealed().path, tmp_path / "out")
    parts = {slug: part for (_, slug), part in audit.outcomes.items()}
    place = tmp_path / "out" / "records" / shop.identity
    again = run_again(shop.identity, place, parts, shop.outcomes)
    assert again.damage == ""
    assert {slug: one.digest for slug, one in again.outcomes.items()} == {
        slug: one.digest for slug, one in shop.outcomes.items()
    }
    assert again.outcomes["late-entry"].digest

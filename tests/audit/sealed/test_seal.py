"""What a sealed file carries in each width, and what it never carries."""

import json
from dataclasses import replace

import pytest
from tests.audit.conftest import AUDIT, LEAD
from tests.audit.sealed.conftest import DESTROYED, GONE, PHOTO, PLAIN, SAID_IN_TRUST

from witnessmark.audit.actions.destroy_text import DestroyText
from witnessmark.audit.canonical import sha256
from witnessmark.audit.recorded import rows_part
from witnessmark.audit.seal import seal
from witnessmark.audit.sealed_audit import read_sealed
from witnessmark.errors import UnusableInputError

WIDTHS = ("outcomes", "cited", "everything")


def lines_of(sealed):
    return [json.loads(line) for line in sealed.path.read_text("utf-8").splitlines()]


@pytest.mark.parametrize("width", WIDTHS)
def test_each_width_reads_back_and_carries_what_it_says(sealed, tmp_path, width, cast):
    said = sealed(width)
    audit = read_sealed(said.path, tmp_path / "files")
    parts = [line["part"] for line in lines_of(said)]
    assert (parts[0], parts[-1]) == ("header", "seal")
    assert audit.header.entries == said.entries == len(cast.place.store.received(AUDIT))
    assert ("rows" in parts) == (width != "outcomes")
    assert ("file" in parts, "text" in parts) == ((width == "everything"),) * 2
    assert {row["ref"] for part in audit.rows.values() for row in part.rows} == (
        set() if width == "outcomes" else {"c2", "c3"}
    )


def test_everything_carries_words_photos_and_records_as_they_are(sealed, tmp_path, shop):
    audit = read_sealed(sealed().path, tmp_path / "files")
    assert PLAIN in audit.texts.values()
    assert audit.files[f"attachments/{sha256(PHOTO)}"].read_bytes() == PHOTO
    for name in ("manifest.json", "checks.parquet", "outcomes.json"):
        copy = audit.files[f"records/{shop.identity}/{name}"]
        assert copy.read_bytes() == (shop.folder / name).read_bytes()


@pytest.mark.parametrize("width", WIDTHS)
def test_a_protected_source_is_in_no_width(sealed, cast, width):
    said = sealed(width)
    text = said.path.read_text("utf-8")
    assert "signs the sheet" not in text
    assert "night shift" not in text
    assert {kind for kind, _ in said.withheld.values()} == {
        "statement-heard", "evidence-linked", "observation-made",
    }  # fmt: skip
    events = [line["event"] for line in lines_of(said) if line["part"] == "entry"]
    assert events.count(None) == len(cast.secret_events) == len(said.withheld)
    carried = {event["id"] for event in events if event is not None}
    assert carried.isdisjoint(cast.secret_events)
    assert cast.trail in carried
    marks = {
        item.event.body["words"]
        for item in cast.place.store.received(AUDIT)
        if item.event.id in cast.secret_events and "words" in item.event.body
    }
    assert len(marks) == 2
    assert not any(mark in text for mark in marks)
    assert SAID_IN_TRUST not in text


@pytest.mark.parametrize("width", WIDTHS)
def test_what_was_destroyed_is_in_no_width(sealed, width):
    said = sealed(width)
    assert DESTROYED not in said.path.read_text("utf-8")
    names = {line["name"] for line in lines_of(said) if line["part"] == "file"}
    assert f"attachments/{sha256(GONE)}" not in names


def test_a_text_whose_key_outlived_its_destruction_is_not_sealed_either(cast, sealed):
    """The journal says destroyed: a store that still has the text does not matter."""
    mark = next(
        item.event.body["words"]
        for item in cast.place.store.received(AUDIT)
        if cast.place.store.reveal(item.event.body.get("words", "")) == PLAIN
    )
    cast.act(DestroyText(mark=mark, reason="asked for"))
    assert cast.place.store.reveal(mark) == PLAIN
    assert PLAIN not in sealed().path.read_text("utf-8")


def test_rows_leave_the_desk_without_persons(shop):
    late = shop.outcomes["late-entry"]
    named = replace(late, rows=tuple({**row, "done_by": "k-17"} for row in late.rows))
    part = rows_part(shop.identity, named, {""}, set())
    assert [row["done_by"] for row in part.rows] == ["a person"] * 2
    assert all("sentence" not in row for row in part.rows)


def test_nothing_is_overwritten_and_nothing_half_written_stays(sealed, cast, tmp_path):
    first = sealed()
    before = first.path.read_bytes()
    with pytest.raises(UnusableInputError, match="there already"):
        sealed()
    assert first.path.read_bytes() == before
    with pytest.raises(UnusableInputError, match="no such audit"):
        seal(cast.place, "another", tmp_path / "b.witness", "outcomes")
    with pytest.raises(UnusableInputError, match="cannot be written"):
        seal(cast.place, AUDIT, tmp_path / "no" / "such" / "c.witness", "outcomes")
    assert [path.name for path in tmp_path.iterdir()] == ["audit.witness"]


def test_what_is_destroyed_while_the_file_is_written_stops_it(cast, tmp_path):
    def slow(digest):
        cast.desk.act(AUDIT, LEAD, DestroyText(mark=digest, reason="asked for"))
        return PHOTO

    place = replace(cast.place, attachment=slow)
    with pytest.raises(UnusableInputError, match="destroyed meanwhile"):
        seal(place, AUDIT, tmp_path / "a.witness", "everything")
    assert list(tmp_path.iterdir()) == []


def test_sealing_twice_differs_in_nothing_but_the_time(sealed):
    one, two = lines_of(sealed(name="1.witness")), lines_of(sealed(name="2.witness"))
    differing = [a["part"] for a, b in zip(one, two, strict=True) if a != b]
    assert differing == ["header", "seal"]

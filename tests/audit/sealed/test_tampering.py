"""Any change to a sealed file is refused, and the first entry or part that differs is named."""

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from witnessmark.audit.container import BrokenSealError, open_sealed
from witnessmark.audit.sealed_audit import read_sealed
from witnessmark.errors import UnusableInputError, WitnessmarkError

QUICK = settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


class Whole:
    """The bytes of a sealed file, and what stands where."""

    def __init__(self, path, tmp_path):
        self.data = path.read_bytes()
        self.lines = self.data.splitlines(keepends=True)
        self.names = [name for name, _ in open_sealed(path).seal.lines] + ["the seal"]
        self.tmp_path, self.number = tmp_path, 0

    def line_at(self, position):
        return self.data[:position].count(b"\n")

    def refused(self, data):
        """The refusal of changed bytes; never anything but a refusal of our own."""
        self.number += 1
        path = self.tmp_path / f"{self.number}.witness"
        path.write_bytes(data)
        with pytest.raises(WitnessmarkError) as refused:
            read_sealed(path, self.tmp_path / f"files-{self.number}")
        return refused.value


@pytest.fixture
def whole(sealed, cast, tmp_path, monkeypatch):
    """A small file with every kind of part; the photo is not of interest here."""
    monkeypatch.setattr("witnessmark.audit.seal.BESIDE", ("outcomes.json",))
    cast.place.attachment.__self__.clear()
    return Whole(sealed().path, tmp_path)


@given(data=st.data())
@QUICK
def test_any_byte_flipped_is_refused_with_the_first_difference_named(whole, data):
    # Half of the draws fall on the journal and the seal, else the records would take them all.
    among = data.draw(st.sampled_from(range(len(whole.lines))))
    line = whole.lines[among]
    start = sum(map(len, whole.lines[:among]))
    position = start + data.draw(st.integers(0, len(line) - 1))
    flip = data.draw(st.integers(1, 255))
    changed = bytearray(whole.data)
    changed[position] ^= flip
    refused = whole.refused(bytes(changed))
    assert isinstance(refused, BrokenSealError)
    if among < len(whole.lines) - 1:
        assert refused.part == whole.names[among]
    else:  # a seal that was changed cannot say what is whole; what stands before it can
        assert refused.part in {"the seal", f"what follows {whole.names[-2]}"}


def test_every_byte_of_the_seal_counts(whole):
    start = len(whole.data) - len(whole.lines[-1])
    for position in range(start, len(whole.data), 7):
        for flip in (0x01, 0x20, 0x80):  # 0x20 changes the case of a letter
            changed = bytearray(whole.data)
            changed[position] ^= flip
            assert isinstance(whole.refused(bytes(changed)), BrokenSealError)


@given(length=st.integers(0, 200_000))
@example(length=1)
@QUICK
def test_a_file_that_was_cut_short_is_refused(whole, length):
    length = len(whole.data) - 1 - length % len(whole.data)
    refused = whole.refused(whole.data[:length])
    if whole.line_at(length) == 0:
        assert isinstance(refused, UnusableInputError)
    elif whole.data[length - 1 : length] == b"\n":
        assert refused.part == "the seal"
        assert whole.names[whole.line_at(length) - 1] in str(refused)
    else:
        assert refused.part == f"what follows {whole.names[whole.line_at(length) - 1]}"


@given(data=st.data())
@QUICK
def test_lines_swapped_removed_or_doubled_are_refused_and_named(whole, data):
    count = len(whole.lines) - 1
    first = data.draw(st.integers(0, count - 2))
    second = data.draw(st.integers(first + 1, count - 1))
    lines = list(whole.lines)
    how = data.draw(st.sampled_from(["swap", "remove", "double"]))
    if how == "swap":
        lines[first], lines[second] = lines[second], lines[first]
    elif how == "remove":
        del lines[first:second]
    else:
        lines.insert(first + 1, lines[first])
    refused = whole.refused(b"".join(lines))
    assert isinstance(refused, BrokenSealError)
    assert refused.part == whole.names[first + (how == "double")]


@given(more=st.binary(min_size=1, max_size=300))
@example(more=b"\n")
@example(more=b"{}\n")
@QUICK
def test_whatever_is_put_behind_the_seal_is_refused(whole, more):
    refused = whole.refused(whole.data + more)
    assert isinstance(refused, BrokenSealError)
    assert refused.part in {"the seal", f"what follows {whole.names[-2]}"}


def test_a_second_seal_behind_the_first_is_refused(whole):
    refused = whole.refused(whole.data + whole.lines[-1])
    assert isinstance(refused, BrokenSealError)


def test_the_names_say_which_entry_and_which_part(whole):
    assert whole.names[0] == "header"
    assert whole.names[1:4] == [f"entry {number} of the journal" for number in (1, 2, 3)]
    said = " ".join(whole.names)
    for word in ("text ", "outcome of late-entry", "rows of late-entry", "checks.parquet, piece 1"):
        assert word in said


@given(data=st.binary(max_size=2000))
@example(data=b"\n\n\n")
@example(data=b"[" * 1999 + b"\n")
@example(data=b'{"part":"header","form":"witnessmark-sealed-audit"}\n')
@example(data=b'{"part":"seal","lines":[],"before":"","key":"","signature":""}\n')
@QUICK
def test_the_reader_never_fails_in_another_way_than_by_refusing(whole, data):
    assert isinstance(whole.refused(data), BrokenSealError | UnusableInputError)


@given(data=st.data())
@QUICK
def test_nor_does_it_on_pieces_of_a_true_file_put_together_anew(whole, data):
    parts = data.draw(st.lists(st.sampled_from(whole.lines), max_size=6))
    cuts = [part[: data.draw(st.integers(0, len(part)))] for part in parts]
    assert isinstance(whole.refused(b"".join(cuts)), BrokenSealError | UnusableInputError)

"""Sample bodies of every action, made from the types of its fields, and journals of them.

Nothing here names a single action, so that a new one is tested on the day it is added.
"""

import types
import typing
from datetime import UTC, datetime, timedelta

import msgspec
from hypothesis import strategies as st

from witnessmark.audit.action import DECIDES, Creation
from witnessmark.audit.canonical import GENESIS, sha256
from witnessmark.audit.catalogue import catalogue
from witnessmark.audit.event import Event, written
from witnessmark.audit.journal import Entry, Received
from witnessmark.audit.signing import Signer

AUDIT = "0b7f3c52-2f0e-4f59-9d38-0d9a1f3f6f01"
KEY = Signer(bytes(range(32)))
START = datetime(2026, 3, 24, 5, tzinfo=UTC)
EXACT = 2**53

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
integers = st.integers(-EXACT + 1, EXACT - 1)
floats = st.floats(-EXACT + 1, EXACT - 1)
hashes = st.binary(max_size=4).map(sha256)
plain = st.recursive(
    st.none() | st.booleans() | integers | floats | texts,
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(texts, inner, max_size=2),
    max_leaves=4,
)
SIMPLE = {str: texts, int: integers, float: floats, bool: st.booleans(), typing.Any: plain}


def uuid_of(number):
    """A UUID that says its number."""
    return f"00000000-0000-4000-8000-{number:012x}"


def values_of(hint, ids=texts):
    """Values of a type as a field declares it; texts are drawn from `ids`."""
    if hint is str:
        return ids
    if hint in SIMPLE:
        return SIMPLE[hint]
    origin, inside = typing.get_origin(hint), typing.get_args(hint)
    if origin is typing.Literal:
        return st.sampled_from(inside)
    if origin in (typing.Union, types.UnionType):
        return st.one_of([values_of(one, ids) for one in inside])
    if origin is tuple:
        return st.lists(values_of(inside[0], ids), max_size=2).map(tuple)
    if origin is dict:
        return st.dictionaries(texts, values_of(inside[1], ids), max_size=2)
    if hint is type(None):
        return st.none()
    if isinstance(hint, type) and issubclass(hint, msgspec.Struct):
        return structs_of(hint, ids)
    raise TypeError(f"no sample values of {hint}")


def structs_of(struct, ids=texts):
    """Values of a struct."""
    hints = typing.get_type_hints(struct)
    sealed = getattr(struct, "sealed", ())
    fields = {
        name: hashes if name in sealed else values_of(hints[name], ids)
        for name in struct.__struct_fields__
    }
    return st.fixed_dictionaries(fields).map(lambda told: struct(**told))


def actions(kinds=None, ids=texts):
    """Any action of the given kinds; of all kinds where none are given."""
    chosen = sorted(kinds or catalogue())
    return st.sampled_from(chosen).flatmap(lambda kind: structs_of(catalogue()[kind], ids))


def offline_kinds():
    """Kinds that a notebook may write."""
    return [kind for kind, action in catalogue().items() if action.phase != DECIDES]


class Device:
    """A device that writes its own chain of events."""

    def __init__(self, number, offset_s=0):
        self.id, self.number, self.offset_s = uuid_of(0xD0000 + number), number, offset_s
        self.events = []

    def write(self, action, at_s, supersedes="", id_=None):
        """Writes an event at so many seconds by its own clock."""
        last = self.events[-1] if self.events else None
        event = Event(
            id=id_ or uuid_of(self.number * 1000 + len(self.events) + 1),
            audit=AUDIT,
            device=self.id,
            device_seq=len(self.events) + 1,
            previous=last.hash if last else GENESIS,
            at=written(START + timedelta(seconds=at_s)),
            offset_min=60,
            author=f"u{self.number}",
            kind=action.kind,
            body=msgspec.json.decode(msgspec.json.encode(action.body)),
            supersedes=supersedes,
        )
        self.events.append(event)
        return event


def journal_of(events, offsets=None):
    """Entries over events in the order given, signed; offsets by device."""
    received, previous = [], GENESIS
    for seq, event in enumerate(events, start=1):
        offset = (offsets or {}).get(event.device, 0)
        entry = Entry(
            audit=AUDIT, seq=seq, event_hash=event.hash, previous=previous,
            received_at=written(START + timedelta(days=1, seconds=seq)), clock_offset_s=offset,
            event_key="", event_signature="", key=KEY.public,
        )  # fmt: skip
        received.append(Received(entry, KEY.sign(entry.hash), event))
        previous = entry.hash
    return received


@st.composite
def devices(draw, most=6):
    """Two or three devices with offline events that speak of each other's items."""
    made = [Device(number) for number in range(1, draw(st.integers(2, 3)) + 1)]
    known = [uuid_of(d.number * 1000 + n) for d in made for n in range(1, most + 1)]
    ids = st.sampled_from(known) | texts
    for device in made:
        for _ in range(draw(st.integers(1, most))):
            action = draw(actions(offline_kinds(), ids))
            corrects = isinstance(action, Creation) and draw(st.booleans())
            supersedes = draw(st.sampled_from(known)) if corrects else ""
            device.write(action, draw(st.integers(0, 5)), supersedes)
    return made


@st.composite
def interleavings(draw, chains):
    """The chains' events in one row, each chain in its own order."""
    left = [list(chain) for chain in chains if chain]
    row = []
    while left:
        chain = draw(st.sampled_from(left))
        row.append(chain.pop(0))
        left = [chain for chain in left if chain]
    return row

"""The parts of a sealed audit, as plain records; see `container` for the file they stand in.

This module only says what each part holds.
"""

from typing import Any, Literal

import msgspec

from witnessmark.audit.container import FORM, VERSION
from witnessmark.audit.event import Event
from witnessmark.audit.journal import Entry

Width = Literal["outcomes", "cited", "everything"]
SAYS: dict[Width, str] = {
    "outcomes": "The journal and counts of record tests. No rows, no words of people.",
    "cited": "The journal, counts, and the rows that trails and findings cite. No words of people.",
    "everything": "The journal, the frozen records, attachments and words. It stays on site.",
}


class Part(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What stands on one line."""

    part: str


class Header(Part, frozen=True, kw_only=True):
    """What the file is.

    Args:
        width: How much it carries.
        says: The same as a sentence, for whoever opens the file in an editor.
        audit: UUID.
        entries: Number of entries.
        head: Hash of the last one.
        withheld: Events that stand as their entry only.
        sealed_at: When, by the installation's clock.
        tool_version: Version that sealed.
    """

    part: str = "header"
    form: str = FORM
    v: int = VERSION
    width: Width
    says: str
    audit: str
    entries: int
    head: str
    withheld: int
    sealed_at: str
    tool_version: str


class EntryPart(Part, frozen=True, kw_only=True):
    """A journal entry with its signature; no event where it is withheld."""

    part: str = "entry"
    entry: Entry
    signature: str
    event: Event | None


class TextPart(Part, frozen=True, kw_only=True):
    """A text with its salt, so that its mark in the journal can be checked."""

    part: str = "text"
    mark: str
    salt: str
    text: str


class CriterionPart(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A threshold under which a test ran."""

    name: str
    value: str
    source: str
    is_default: bool


class CountsPart(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Units by result."""

    population: int
    assessed: int
    exceptions: int
    not_assessable: int


class OutcomePart(Part, frozen=True, kw_only=True):
    """The counts of one record test, and what is needed to run it again.

    Args:
        digest: As the outcome gave it.
        test_text: Digest of the test's text, and of the derived tables', in the sealing version.
        strata: Counts of the strata that are cited, as `attendance=covered`.
    """

    part: str = "outcome"
    freeze: str
    slug: str
    status: str
    digest: str
    test_text: str
    counts: CountsPart
    strata: dict[str, CountsPart]
    criteria: tuple[CriterionPart, ...]


class RowsPart(Part, frozen=True, kw_only=True):
    """Exceptions of one record test that are cited, persons left out.

    Args:
        total: Exceptions in all.
        whole: Whether all of them are here.
        strata: Strata of which all exceptions are here.
        rows: Each with `ref` and what the test shows.
    """

    part: str = "rows"
    freeze: str
    slug: str
    total: int
    whole: bool
    strata: tuple[str, ...]
    rows: tuple[dict[str, Any], ...]


class FilePart(Part, frozen=True, kw_only=True):
    """A piece of a file, in base64.

    Args:
        name: `records/<freeze>/<file>` or `attachments/<sha256>`.
        piece: From 1.
        pieces: How many there are.
        sha256: Of the whole file.
        size: Of the whole file, in bytes.
    """

    part: str = "file"
    name: str
    piece: int
    pieces: int
    sha256: str
    size: int
    data: str


KINDS: dict[str, type[Part]] = {
    "header": Header,
    "entry": EntryPart,
    "text": TextPart,
    "outcome": OutcomePart,
    "rows": RowsPart,
    "file": FilePart,
}

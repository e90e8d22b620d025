"""What evidence and findings cite, and the words of an audit: plain values of the journal.

This module knows neither items nor state.
"""

from typing import Literal

import msgspec

Column = Literal["said", "seen", "recorded"]
Bearing = Literal["for", "against", "neutral"]
TrailState = Literal[
    "open", "waiting", "parked", "supported", "refuted", "undetermined", "transferred"
]
CLOSED: frozenset[str] = frozenset({"supported", "refuted", "undetermined", "transferred"})
Grade = Literal["none", "opportunity", "minor", "major"]
Outcome = Literal["done", "refused", "impossible", "overtaken"]
ReadBack = Literal["agreed", "corrected", "not-read-back"]


class Cited(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What evidence points at: an item of this audit, or a result of the records.

    Args:
        kind: `statement`, `observation`, `document`, `photo` and `request` by `id`; `outcome`,
            `stratum` and `row` by freeze and slug.
        id: UUID of the item.
        freeze: Identity of the freeze.
        slug: The record test.
        stratum: As `attendance=covered`.
        ref: The row's ref.
        digest: Of the outcome it was read from; the same digest, the same numbers.
        exceptions: As it stood when cited: of the outcome or stratum.
        assessed: Likewise.
    """

    kind: Literal[
        "statement", "observation", "document", "photo", "request", "outcome", "stratum", "row"
    ]
    id: str = ""
    freeze: str = ""
    slug: str = ""
    stratum: str = ""
    ref: str = ""
    digest: str = ""
    exceptions: int | None = None
    assessed: int | None = None

    @property
    def column(self) -> Column:
        """Where it stands on the page of trails."""
        if self.kind == "statement":
            return "said"
        return "seen" if self.kind in {"observation", "photo"} else "recorded"


class Fact(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One fact of a finding: x of n, over a period, selected in a stated way.

    Args:
        text: When, where, which machine, part, lot or record.
        x: Units that failed the requirement; None where nothing was counted.
        n: Units looked at.
        period: From when to when.
        selection: How the units were chosen: whole population, random with seed, targeted.
        cited: What it was read from.
    """

    text: str
    x: int | None = None
    n: int | None = None
    period: str = ""
    selection: str = ""
    cited: Cited | None = None


class Requirement(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One requirement: a clause of a standard, a document of the plant, or both."""

    standard: str = ""
    clause: str = ""
    document: str = ""
    revision: str = ""
    paraphrase: str = ""
    confirmed: bool = False
    """Whether a user has held a clause that is from memory against a licensed copy."""


class TestResult(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The counts of one record test, as recorded in the journal; rows lie with the freeze."""

    __test__ = False  # not a test of pytest's
    slug: str
    status: str
    exceptions: int
    assessed: int
    population: int
    not_assessable: int
    digest: str
    fragile: int = 0

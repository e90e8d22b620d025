"""What the practice audits cite of frozen records: numbers come from outcomes, never from here."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import witnessmark
from witnessmark.audit.actions.record_outcomes import RecordOutcomes
from witnessmark.audit.actions.take_in_records import TakeInRecords
from witnessmark.audit.cited import Cited, Fact
from witnessmark.audit.recorded import result_of, stratum_of
from witnessmark.practice.audits.scribe import Scribe
from witnessmark.record_tests.outcome import Counts, Outcome


@dataclass(frozen=True)
class Records:
    """A freeze with its outcomes.

    Args:
        freeze: Its identity.
        period: In words, as it is printed.
        outcomes: By slug.
    """

    freeze: str
    period: str
    outcomes: Mapping[str, Outcome]

    def counts(self, slug: str, stratum: str = "") -> Counts:
        """The counts of a test, or of one of its strata."""
        outcome = self.outcomes[slug]
        found = stratum_of(outcome, stratum) if stratum else outcome.counts
        if found is None:
            raise KeyError(stratum)
        return found

    def cite(self, slug: str, stratum: str = "") -> Cited:
        """A test's outcome, or one of its strata, as evidence."""
        counts = self.counts(slug, stratum)
        return Cited(
            "stratum" if stratum else "outcome",
            freeze=self.freeze,
            slug=slug,
            stratum=stratum,
            digest=self.outcomes[slug].digest,
            exceptions=counts.exceptions,
            assessed=counts.assessed,
        )

    def cite_row(self, slug: str, number: int = 0) -> Cited:
        """One of a test's rows as evidence."""
        outcome = self.outcomes[slug]
        ref = str(outcome.rows[number]["ref"])
        return Cited("row", freeze=self.freeze, slug=slug, ref=ref, digest=outcome.digest)

    def fact(self, slug: str, text: str, stratum: str = "") -> Fact:
        """A fact of a finding: x of n of a test or stratum, over the whole population."""
        counts = self.counts(slug, stratum)
        return Fact(
            text=text,
            x=counts.exceptions,
            n=counts.assessed,
            period=self.period,
            selection="every unit in the records",
            cited=self.cite(slug, stratum),
        )

    def row_fact(self, slug: str, number: int = 0) -> Fact:
        """A fact of a finding that tells of one row, in the test's own sentence."""
        row = self.outcomes[slug].rows[number]
        return Fact(
            text=str(row["sentence"]),
            period=self.period,
            selection="example, the first in order",
            cited=self.cite_row(slug, number),
        )

    def take_in(self, scribe: Scribe, purpose: str, only: Iterable[str] = ()) -> None:
        """Takes the freeze and its counts into an audit."""
        scribe.do(
            TakeInRecords(
                freeze=self.freeze,
                period=self.period,
                purpose=purpose,  # type: ignore[arg-type]  # one of its three words
                tool_version=witnessmark.__version__,
            )
        )
        wanted = set(only) or set(self.outcomes)
        results = tuple(result_of(o) for slug, o in self.outcomes.items() if slug in wanted)
        scribe.do(RecordOutcomes(freeze=self.freeze, results=results))

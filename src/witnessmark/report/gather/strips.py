"""The status strips: what the board declared, what the plant's own rule gives, what followed.

Both colours come from the record test that compares them, so that strip and count cannot differ.
"""

from collections.abc import Mapping

from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.report.figures import StatusStrip
from witnessmark.report.gather.reader import Reader

SLUG = "status-disagreement"


def strips_of(
    reader: Reader, tests: Mapping[str, RecordTest], outcomes: Mapping[str, Outcome]
) -> tuple[StatusStrip, ...]:
    """One strip per area and letter that has a status; none where the board was not given."""
    return ()

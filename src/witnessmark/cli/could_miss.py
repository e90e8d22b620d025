"""`witnessmark could-miss`: what a sample can still hide."""

from witnessmark.cli.stated import PLAIN, Output, in_percent, state
from witnessmark.cli.values import Share, pair
from witnessmark.stats import require
from witnessmark.stats.detection import could_miss


def run(
    *found: str, lot: int | None = None, confidence: Share = 0.95, output: Output = PLAIN
) -> None:
    """Say what a sample of so many, with so many found, can still hide.

    Args:
        found: Found of looked at: `1 of 30` or `1/30`; `30` alone is a clean sample of 30.
        lot: Number in the lot; none for a process.
        confidence: One-sided confidence: 95% or 0.95.
        output: How the result leaves the command.
    """
    text = " ".join(found)
    text = f"0/{text}" if text.isdecimal() else text
    x, n = require.found_of(*pair(text, "number found", "number looked at"))
    missed = could_miss(n, x, lot, confidence)
    figures = [
        ("Looked at", missed.n),
        ("Found", missed.found),
        ("Lot", missed.lot),
        ("Rate it may still be, up to", in_percent(missed.rate)),
        ("Deviations among the rest, up to", missed.unseen),
    ]
    state(missed, figures, output)

"""`witnessmark reperform`: checks a sealed audit and recomputes its numbers, on any machine."""

import sys
from pathlib import Path

from witnessmark.audit.container import BrokenSealError
from witnessmark.audit.journal import BrokenChainError
from witnessmark.audit.reperform import reperform
from witnessmark.audit.reperformed import as_text
from witnessmark.cli.progress import Steps

DIFFERS = 1


def run(file: Path) -> None:
    """Check a sealed audit and recompute every number that its trails and findings cite.

    Exit code 0 when it holds, 1 when an entry, a part or a number differs, 2 when the file cannot
    be used.

    Args:
        file: A file written by `witnessmark seal`.
    """
    try:
        with Steps() as steps:
            result = reperform(file, steps.step)
    except (BrokenSealError, BrokenChainError) as difference:
        print(difference)
        sys.exit(DIFFERS)
    print(as_text(result))
    if not result.holds:
        sys.exit(DIFFERS)

"""`witnessmark case`: holds the tool against worked examples in Markdown."""

import sys
from pathlib import Path

from witnessmark.record_tests.cases import read_case_file, run_case_file


def run(*files: Path) -> None:
    """Run the cases of one or more case files.

    Exit code 0 when all cases hold, 1 when one does not, 2 when a file cannot be used.

    Args:
        files: Markdown files in the case format; see docs/reference/cases.md.
    """
    all_hold = True
    for path in files:
        file = read_case_file(path)
        print(file.slug)
        for verdict in run_case_file(file):
            print(f"  {'holds ' if not verdict.differences else 'differs'}  {verdict.case.name}")
            for difference in verdict.differences:
                print(f"           {difference}")
            all_hold = all_hold and not verdict.differences
    if not all_hold:
        sys.exit(1)

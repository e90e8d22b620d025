"""One measurement in a process of its own: does it, prints one line of JSON, ends.

The peak is what the kernel counted for this process from its start, imports and all.
"""

import importlib
import json
import resource
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path

SIDES = {"pandas": "bench.pandas_tests", "polars": "bench.polars_tests"}


def peak_mb() -> int:
    """Most memory this process ever held, in MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def notebook(side: str, folder: Path, slug: str) -> dict[str, object]:
    """One test of a notebook; importing the library is not counted."""
    tests: Mapping[str, Callable[[Path], int]] = importlib.import_module(SIDES[side]).TESTS
    start = time.perf_counter()
    exceptions = tests[slug](folder)
    return {"seconds": time.perf_counter() - start, "exceptions": exceptions}


def main(side: str, folder: Path, *arguments: str) -> None:
    """Measures and prints."""
    if side in SIDES:
        result = notebook(side, folder, *arguments)
    else:
        result = getattr(importlib.import_module("bench.ours"), side)(folder, *arguments)
    print(json.dumps(result | {"peak_mb": peak_mb()}))


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), *sys.argv[3:])

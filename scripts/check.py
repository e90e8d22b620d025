"""Runs every check of the project and says in one line each how it went.

The output of a check is shown only where it failed. The exit code is 1 if any failed. Two run at a
time, the longest first; what they say stays in the order below.
"""

import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from run_tests import environment

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent
CODE = ("src", "tests", "scripts", "bench")
CHECKS = {
    "format": (BIN / "ruff", "format", "--check", *CODE),
    "lint": (BIN / "ruff", "check", *CODE),
    "types": (BIN / "mypy",),
    "layers": (BIN / "lint-imports",),
    "SQL": (sys.executable, "scripts/lint_sql.py"),
    "pages": (sys.executable, "scripts/make_docs.py", "--check"),
}


@dataclass(frozen=True)
class Done:
    """How a check went."""

    ok: bool
    seconds: float
    output: str


def run(name: str) -> Done:
    """Runs one check."""
    start = time.monotonic()
    done = subprocess.run(
        [str(part) for part in CHECKS[name]],
        cwd=ROOT,
        check=False,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    return Done(done.returncode == 0, time.monotonic() - start, done.stdout.rstrip())


def main() -> int:
    """Runs all checks, none left out because an earlier one failed."""
    with ThreadPoolExecutor(max_workers=2) as pool:
        running = {name: pool.submit(run, name) for name in reversed(CHECKS)}
        for name in CHECKS:
            done = running[name].result()
            print(f"{name:8}{'ok' if done.ok else 'failed':8}{done.seconds:6.1f} s", flush=True)
            if not done.ok:
                print(done.output, flush=True)
    return 0 if all(job.result().ok for job in running.values()) else 1


if __name__ == "__main__":
    sys.exit(main())

"""Runs every check of the project and says in one line each how it went.

The output of a check is shown only where it failed. The exit code is 1 if any failed.
"""

import subprocess
import sys
import time
from pathlib import Path

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


def run(name: str) -> bool:
    """Runs one check, prints its line, and its output where it failed."""
    start = time.monotonic()
    done = subprocess.run(
        [str(part) for part in CHECKS[name]],
        cwd=ROOT,
        check=False,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    ok = done.returncode == 0
    print(f"{name:8}{'ok' if ok else 'failed':8}{time.monotonic() - start:6.1f} s", flush=True)
    if not ok:
        print(done.stdout.rstrip(), flush=True)
    return ok


def main() -> int:
    """Runs all checks, none left out because an earlier one failed."""
    results = [run(name) for name in CHECKS]
    return 0 if all(results) else 1


if __name__ == "__main__":
    sys.exit(main())

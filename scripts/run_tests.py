"""Runs all tests that this machine can run, and says plainly which it cannot.

A browser test needs Chromium, a test of the other database PostgreSQL, an oracle test the group
`oracles`. Where one is missing everything else runs, and the last lines say what did not. With
CI=true that counts as a failure: a machine that is asked for proof must be able to give it.
"""

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
CHROMIUM = "/usr/bin/chromium"
POSTGRESQL = Path("/usr/lib/postgresql")


@dataclass(frozen=True)
class Need:
    """Something outside the environment that tests of one mark need."""

    mark: str
    what: str
    programs: tuple[str, ...] = ()
    modules: tuple[str, ...] = ()

    def is_met(self) -> bool:
        """Whether all its programs and modules are here."""
        return all(map(is_here, self.programs)) and all(map(find_spec, self.modules))


def is_here(program: str) -> bool:
    """Whether a program can be found, also where Debian keeps those of PostgreSQL."""
    return bool(shutil.which(program) or any(POSTGRESQL.glob(f"*/bin/{program}")))


NEEDS = (
    Need("browser", "Chromium", programs=(CHROMIUM,)),
    Need("postgres", "PostgreSQL", programs=("initdb", "pg_ctl", "pg_dump")),
    Need("oracle", "the group `oracles`", modules=("ciw", "lifelines", "statsmodels")),
)


def environment() -> dict[str, str]:
    """The environment in which compiled modules are kept, under `out`, even where it forbids that.

    Tests start many processes, and each would compile the libraries it imports for seconds.
    """
    kept = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"PYTHONPYCACHEPREFIX": str(ROOT / "out" / "bytecode")}


def main() -> int:
    """Runs pytest; arguments are passed on to it."""
    missing = [need for need in NEEDS if not need.is_met()]
    # Three on two cores: tests of real servers and browsers wait as long as they work.
    command = [sys.executable, "-m", "pytest", "-n", "3", "--dist", "worksteal", *sys.argv[1:]]
    if missing:
        command += ["-m", " and ".join(f"not {need.mark}" for need in missing)]
    code = subprocess.run(command, cwd=ROOT, check=False, env=environment()).returncode
    for need in missing:
        print(f"NOT RUN: tests marked {need.mark!r}, because {need.what} is not installed here.")
    if missing and os.environ.get("CI") == "true":
        print("With CI=true, tests that could not be run count as a failure.")
        return code or 1
    return code


if __name__ == "__main__":
    sys.exit(main())

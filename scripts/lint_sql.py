"""Lints the SQL of timeline and catalogue; a file that passed is not read again until it changes.

The linter takes seconds per file. What passed is remembered by digests of the file, of the
settings and of the linter's version, so a fresh clone lints everything.
"""

import hashlib
import re
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDERS = ("src/witnessmark/timeline", "src/witnessmark/record_tests/catalogue")
PASSED = Path(".sqlfluff_cache/passed")
FAILED = re.compile(r"^== \[(.+)\] FAIL$", re.MULTILINE)


def digest(path: Path) -> str:
    """What decides whether a file passes: its text, the settings, the linter."""
    settings = (ROOT / "pyproject.toml").read_bytes() + version("sqlfluff").encode()
    return hashlib.sha256(settings + path.read_bytes()).hexdigest()


def main() -> int:
    """Lints what is new; the exit code is the linter's."""
    files = sorted(path for folder in FOLDERS for path in (ROOT / folder).rglob("*.sql"))
    digests = {path.relative_to(ROOT).as_posix(): digest(path) for path in files}
    memory = ROOT / PASSED
    known = set(memory.read_text("utf-8").split()) if memory.exists() else set()
    new = [path for path, value in digests.items() if value not in known]
    if not new:
        return 0
    linter = str(Path(sys.executable).with_name("sqlfluff"))
    done = subprocess.run(
        [linter, "lint", "--processes", "2", *new],
        cwd=ROOT,
        check=False,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    print(done.stdout.rstrip())
    failed = set(FAILED.findall(done.stdout))
    if done.returncode == 0 or failed:
        memory.parent.mkdir(exist_ok=True)
        passed = [value for path, value in digests.items() if path not in failed]
        memory.write_text("\n".join(passed) + "\n", "utf-8")
    return done.returncode


if __name__ == "__main__":
    sys.exit(main())

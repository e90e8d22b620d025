"""Make `.venv` from the lock with nothing but python3 and pip.

Works on a machine where `pip install .` is refused and `python3 -m venv` is not installed:
pip puts uv into a folder of its own, and uv makes the environment. Runs again only when the
lock or the project file has changed. Standard library only.
"""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BOOT = ROOT / ".uv-boot"
# What each flag installs, and where; the oracles stand beside what the tests run with.
ENVIRONMENTS = {
    "": ("requirements.lock", ".venv"),
    "--oracles": ("requirements-oracles.lock", ".venv"),
    "--bench": ("requirements-bench.lock", ".venv-bench"),
}


def run(*command: str | Path) -> None:
    """Runs a command with uv within reach, and stops at its first failure."""
    environment = os.environ | {"PYTHONPATH": str(BOOT), "UV_NO_PROGRESS": "1"}
    environment.pop("VIRTUAL_ENV", None)
    subprocess.run([str(part) for part in command], check=True, cwd=ROOT, env=environment)


def uv(*arguments: str | Path) -> None:
    """Runs uv."""
    run(BOOT / "bin" / "uv", *arguments)


def main(flag: str = "") -> None:
    """Makes the environment, unless it stands already as lock and project file want it."""
    lock, venv = (ROOT / name for name in ENVIRONMENTS[flag])
    stamp = venv / f".from-{lock.stem}"
    wanted = hashlib.sha256(
        lock.read_bytes() + (ROOT / "pyproject.toml").read_bytes() + sys.version.encode()
    ).hexdigest()
    if stamp.exists() and stamp.read_text() == wanted:
        return
    if not (BOOT / "bin" / "uv").exists():
        run(sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check",
            "--root-user-action=ignore", "--target", BOOT, "uv")  # fmt: skip
    if not (venv / "bin" / "python").exists():
        uv("venv", "--quiet", "--python", sys.executable, venv)
    python = venv / "bin" / "python"
    uv("pip", "install", "--quiet", "--python", python, "--require-hashes", "-r", lock)
    uv("pip", "install", "--quiet", "--python", python, "--no-deps", "--no-build-isolation",
       "-e", ROOT)  # fmt: skip
    stamp.write_text(wanted)


if __name__ == "__main__":
    main(*sys.argv[1:])

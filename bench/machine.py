"""What the bench ran on, in words."""

import os
import platform
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path

LIBRARIES = ("duckdb", "pandas", "polars", "pyarrow", "numpy")


def machine(packages: Sequence[str] = LIBRARIES) -> str:
    """Processor, cores, memory, system and the versions that matter, as one paragraph."""
    gigabytes = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    libraries = ", ".join(f"{name} {version(name)}" for name in packages)
    return (
        f"{_processor()}, {os.cpu_count()} cores, {gigabytes:.0f} GB of memory, "
        f"{platform.system()} {platform.machine()}, Python {platform.python_version()}, "
        f"{libraries}."
    )


def _processor() -> str:
    path = Path("/proc/cpuinfo")
    lines = path.read_text("utf-8").splitlines() if path.exists() else []
    named = [line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")]
    return named[0] if named else platform.processor() or "a processor that does not say its name"

"""Writes the generated pages of `docs/`; with `--check` says which are not fresh, writing nothing.

A page is stale when its source has changed, missing when it was never written, and left over when
its source is gone. Pages written by hand are not touched.
"""

import argparse
import sys
from collections.abc import Mapping
from pathlib import Path

from pages import (
    commands,
    criteria,
    record_tests,
    records,
    requirements,
    roles,
    statistics,
    timeline,
)
from pages.markdown import MADE

ROOT = Path(__file__).resolve().parent.parent
DOCS = ROOT / "docs"
SOURCES = (records, criteria, requirements, timeline, record_tests, statistics, commands, roles)
KINDS = {".md", ".svg"}


def wanted() -> dict[str, str]:
    """Every generated page, by its path below the folder of the documentation."""
    found: dict[str, str] = {}
    for source in SOURCES:
        found |= source.pages()
    return found


def faults(pages: Mapping[str, str], docs: Path) -> dict[str, str]:
    """What is wrong with the pages on disk, by path: stale, missing or left over."""
    wrong = {}
    for path, text in pages.items():
        file = docs / path
        if not file.exists():
            wrong[path] = "missing"
        elif file.read_text("utf-8") != text:
            wrong[path] = "stale"
    for file in docs.rglob("*"):
        path = file.relative_to(docs).as_posix()
        if file.suffix in KINDS and path not in pages and file.read_text("utf-8").startswith(MADE):
            wrong[path] = "left over"
    return dict(sorted(wrong.items()))


def write(pages: Mapping[str, str], wrong: Mapping[str, str], docs: Path) -> None:
    """Mends what is wrong: writes stale and missing pages, removes those left over."""
    for path, fault in wrong.items():
        file = docs / path
        if fault == "left over":
            file.unlink()
        else:
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(pages[path], "utf-8")


def main() -> int:
    """Runs the command; the exit code is 1 where a check found pages that are not fresh."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true", help="say what is not fresh; write nothing")
    parser.add_argument("--docs", type=Path, default=DOCS, help="folder of the documentation")
    asked = parser.parse_args()
    pages = wanted()
    wrong = faults(pages, asked.docs)
    if not asked.check:
        write(pages, wrong, asked.docs)
    for path, fault in wrong.items():
        print(f"docs/{path}: {fault}")
    if asked.check and wrong:
        print("Run `make docs` and commit what it writes.")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())

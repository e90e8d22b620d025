"""The generated pages: complete, the same every time, and their links lead somewhere."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LINK = re.compile(r"\]\(([^)#\s]*)(?:#([^)\s]*))?\)")
HEADING = re.compile(r"^#+ (.+)$", re.MULTILINE)
FENCE = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)


@pytest.fixture
def make_docs(script):
    return script("make_docs")


def test_a_page_is_missing_then_fresh_then_stale_then_left_over(make_docs, tmp_path):
    pages = {"a/one.md": f"{make_docs.MADE} -->\none\n", "two.md": f"{make_docs.MADE} -->\ntwo\n"}
    by_hand = tmp_path / "index.md"
    by_hand.write_text("# By hand\n")
    wrong = make_docs.faults(pages, tmp_path)
    assert wrong == {"a/one.md": "missing", "two.md": "missing"}
    make_docs.write(pages, wrong, tmp_path)
    assert make_docs.faults(pages, tmp_path) == {}

    (tmp_path / "two.md").write_text(f"{make_docs.MADE} -->\nold\n")
    wrong = make_docs.faults({"two.md": pages["two.md"]}, tmp_path)
    assert wrong == {"a/one.md": "left over", "two.md": "stale"}
    make_docs.write(pages, wrong, tmp_path)
    assert not (tmp_path / "a/one.md").exists()
    assert (tmp_path / "two.md").read_text() == pages["two.md"]
    assert by_hand.read_text() == "# By hand\n"


def test_a_check_names_every_page_that_is_missing_and_writes_nothing(tmp_path):
    command = [sys.executable, "scripts/make_docs.py", "--check", "--docs", str(tmp_path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stderr
    assert "docs/reference/records.md: missing" in done.stdout
    assert "docs/record_tests/index.md: missing" in done.stdout
    assert list(tmp_path.iterdir()) == []


def test_pages_are_the_same_every_time_and_say_that_they_are_made(make_docs):
    pages = make_docs.wanted()
    assert pages == make_docs.wanted()
    assert [path for path, text in pages.items() if not text.startswith(make_docs.MADE)] == []
    assert [path for path, text in pages.items() if not text.endswith("\n")] == []


def test_every_link_leads_to_a_page_and_every_anchor_to_a_heading(make_docs):
    pages = {f"docs/{path}": text for path, text in make_docs.wanted().items()}
    by_hand = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *(ROOT / "docs").rglob("*.md")]
    for path in by_hand:
        pages.setdefault(path.relative_to(ROOT).as_posix(), path.read_text("utf-8"))
    broken = [
        f"{path}: {target}#{anchor}"
        for path, text in pages.items()
        for target, anchor in LINK.findall(FENCE.sub("", text))
        if not target.startswith("http") and not _leads(path, target, anchor, pages)
    ]
    assert broken == []


def _leads(path, target, anchor, pages):
    found = (ROOT / path).parent.joinpath(target).resolve() if target else ROOT / path
    name = found.relative_to(ROOT).as_posix()
    if name not in pages:
        return found.exists() and not anchor
    heads = {_anchor(heading) for heading in HEADING.findall(FENCE.sub("", pages[name]))}
    return not anchor or anchor in heads


def _anchor(heading):
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")

"""The pages of the statistics: complete, their examples run, their pictures fresh."""

import importlib
import pkgutil
import sys
import types
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

import witnessmark.stats

MOST_BYTES = 40_000


@pytest.fixture(scope="module")
def made():
    """All pages, made once; the script is found as `make` finds it."""
    folder = str(Path(__file__).resolve().parents[2] / "scripts")
    sys.path.insert(0, folder)
    try:
        statistics = importlib.import_module("pages.statistics")
        yield statistics, statistics.pages()
    finally:
        sys.path.remove(folder)


def module_of(source):
    module = types.ModuleType("tried")
    exec(source, module.__dict__)  # noqa: S102 - a module made for the test
    return module


@pytest.fixture
def documented(script, monkeypatch):
    """Gives the first public name of a source, and its module."""
    docstrings = script("pages.docstrings")

    def of(source):
        monkeypatch.setattr(docstrings.inspect, "getsource", lambda _: source)
        return next(docstrings.documented(None)), module_of(source)

    return of


def test_every_module_has_a_page_and_stands_in_the_list(made):
    _, pages = made
    index = pages["statistics/index.md"]
    for module in pkgutil.iter_modules(witnessmark.stats.__path__):
        assert f"statistics/{module.name}.md" in pages
        assert f"- [`{module.name}`]({module.name}.md): " in index
    assert "## How many must I look at?" in index


def test_a_page_has_what_a_reader_of_a_function_needs(made):
    text = made[1]["statistics/proportion.md"].partition("## exact_interval\n")[2]
    text = text.partition("\n## ")[0]
    wanted = [
        "they never promise too much.",
        "    side: Side = 'two-sided',",
        "![The rate behind 3 of 30 may be 2.1 % to 26.5 %](pictures/exact_interval.svg)",
        "| `n` | Number looked at. n = 0 gives no rate and the limits 0 and 1. |",
        "**Returns.** The share with its limits.",
        "**Assumes.** Independent items",
        "**Source.** Clopper and Pearson",
        "**Refuses.** x or n negative",
        ">>> exact_interval(0, 0).rate is None\nTrue",
    ]
    assert [one for one in wanted if one not in text.replace("\u00a0", " ")] == []


def test_a_module_without_a_question_fails(made, monkeypatch):
    statistics, _ = made
    monkeypatch.setattr(statistics, "QUESTIONS", {"How sure is this rate?": ("proportion",)})
    with pytest.raises(ValueError, match=r"modules without a question.*survival"):
        statistics.pages()


def test_a_picture_of_a_function_that_is_gone_fails(made, monkeypatch):
    statistics, _ = made
    monkeypatch.setattr(statistics, "PICTURES", {"gone": dict})
    with pytest.raises(ValueError, match="functions that do not exist: gone"):
        statistics.pages()


SOURCE = '''
def twice(n: int, *, times: float = 2.0) -> float:
    """Gives a number twice.

    n * 2.

    Args:
        n: A number,
            whole.
        times: How often: twice.

    Raises:
        ValueError: Never.

    Examples:
        >>> twice(2)
        4.0
    """
    return n * times
'''


def test_a_docstring_is_taken_apart(documented):
    shown, _ = documented(SOURCE)
    assert shown.signature == "twice(n: int, *, times: float = 2.0) -> float"
    assert (shown.summary, shown.prose) == ("Gives a number twice.", "n * 2.")
    assert shown.items("Args") == [("n", "A number, whole."), ("times", "How often: twice.")]
    assert shown.items("Returns") == []


def test_examples_are_run_and_a_failing_one_fails_the_pages(documented, script):
    run = script("pages.docstrings").run_examples
    shown, module = documented(SOURCE)
    assert run(module, shown) == ">>> twice(2)\n4.0"
    wrong, module = documented(SOURCE.replace("        4.0", "        5.0"))
    with pytest.raises(ValueError, match=r"(?s)an example of tried\.twice fails:.*Got:\n    4\.0"):
        run(module, wrong)


def test_pictures_are_small_and_can_be_read(made):
    _, pages = made
    pictures = {path: text for path, text in pages.items() if path.endswith(".svg")}
    assert len(pictures) > 40
    assert [path for path, text in pictures.items() if len(text.encode()) > MOST_BYTES] == []
    assert all(ET.fromstring(text).tag.endswith("svg") for text in pictures.values())  # noqa: S314 - our own
    shown = {
        f"statistics/{target}"
        for path, text in pages.items()
        if path.endswith(".md")
        for target in _pictures_on(text)
    }
    assert shown == set(pictures)


def _pictures_on(text):
    return [part.partition(")")[0] for part in text.split("](")[1:] if part.startswith("pictures/")]


@pytest.mark.parametrize("name", ["exact_interval", "individuals_chart"])
def test_a_picture_is_drawn_the_same_again_and_anew_when_touched(made, name, monkeypatch, tmp_path):
    statistics, pages = made
    spec = statistics.PICTURES[name]()
    path, kept = f"statistics/pictures/{name}.svg", pages[f"statistics/pictures/{name}.svg"]
    file = tmp_path / path
    file.parent.mkdir(parents=True)
    monkeypatch.setattr(statistics, "DOCS", tmp_path)
    drawn = []

    def svg(one):
        drawn.append(one)
        return original(one)

    original = statistics.svg
    monkeypatch.setattr(statistics, "svg", svg)
    assert dict(statistics._file(name, spec)) == {path: kept}
    file.write_text(kept)
    assert dict(statistics._file(name, spec)) == {path: kept}
    assert len(drawn) == 1
    file.write_text(kept.replace("</svg>", "<g/></svg>"))
    assert dict(statistics._file(name, spec)) == {path: kept}
    assert len(drawn) == 2
    changed = spec | {"description": "another"}
    file.write_text(kept)
    assert dict(statistics._file(name, changed))[path] != kept


def test_numbers_are_cut_to_figures_on_which_machines_agree(made):
    statistics, _ = made
    assert statistics._rounded({"a": [0.1 + 0.2, (1, "x", None)]}) == {"a": [0.3, [1, "x", None]]}


def test_a_picture_without_a_source_is_left_over(script, tmp_path):
    make_docs = script("make_docs")
    (tmp_path / "old.svg").write_text(f"{make_docs.MADE} -->\n<svg/>\n")
    (tmp_path / "by_hand.svg").write_text("<svg/>\n")
    assert make_docs.faults({}, tmp_path) == {"old.svg": "left over"}

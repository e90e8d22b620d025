"""What the pages show as examples works as they say."""

import re
from pathlib import Path

from witnessmark.criteria.load import load_criteria
from witnessmark.record_tests.cases import parse_cases, run_case_file

DOCS = Path(__file__).resolve().parents[2] / "docs"


def fenced(page, language, start):
    """The block of a page that starts so."""
    blocks = re.findall(
        rf"^```{language}\n(.*?)^```", (DOCS / page).read_text(), re.MULTILINE | re.DOTALL
    )
    (block,) = [text for text in blocks if text.startswith(start)]
    return block


def test_the_example_of_a_case_file_holds():
    file = parse_cases(fenced("reference/cases.md", "text", "# "), "cases.md")
    (verdict,) = run_case_file(file)
    assert verdict.outcome.counts.population == 1
    assert verdict.differences == ()


def test_the_example_of_a_criteria_file_is_read_as_it_says(tmp_path):
    path = tmp_path / "criteria.toml"
    path.write_text(fenced("reference/criteria.md", "toml", "["))
    stated = load_criteria(path).in_force["late_entry_min"]
    assert (stated.value, stated.source, stated.is_default) == (20, "WI-07 rev 3, 4.2", False)

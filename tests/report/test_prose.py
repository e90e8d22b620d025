"""The small markup of a test's prose."""

import pytest

from witnessmark.report.prose import first_sentence, to_html


def test_paragraphs_lists_and_code_become_html():
    html = to_html("One `x`\nline.\n\n- first\n  goes on\n- second")
    assert html == (
        "<p>One <code>x</code> line.</p>\n<ul><li>first goes on</li><li>second</li></ul>"
    )


def test_a_list_right_under_a_paragraph_stays_a_list():
    assert to_html("Traps:\n- one") == "<p>Traps:</p>\n<ul><li>one</li></ul>"


def test_everything_else_is_escaped():
    assert to_html("a < b & `<b>`") == "<p>a &lt; b &amp; <code>&lt;b&gt;</code></p>"


@pytest.mark.parametrize(
    ("prose", "first"),
    [
        ("Pick five gauges. Then more.", "Pick five gauges."),
        ('"Who came?" And when?', '"Who came?"'),
        ("- one thing\n- another", "one thing - another"),
        ("no stop", "no stop"),
    ],
)
def test_the_first_sentence_ends_where_it_ends(prose, first):
    assert first_sentence(prose) == first

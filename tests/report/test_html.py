"""The page: complete, self-contained, in order, safe, and readable on a phone."""

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from witnessmark.report.html import render
from witnessmark.report.model import Contrast, Escapes, FirstPage, Provenance


class Page(HTMLParser):
    """Collects what the assertions ask for."""

    def __init__(self, html):
        super().__init__()
        self.ids, self.targets, self.tags, self.fetched = [], [], [], []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        self.tags.append(tag)
        if "id" in given:
            self.ids.append(given["id"])
        if tag == "a":
            self.targets.append(given["href"])
        self.fetched += [given[name] for name in ("src", "srcset", "data") if name in given]
        if tag == "link":
            self.fetched.append(given.get("href"))


def test_the_page_fetches_nothing_and_runs_nothing(paper):
    html = render(paper)
    page = Page(html)
    assert page.fetched == []
    assert "script" not in page.tags
    assert re.findall(r"url\((?!#)|@import", html) == []
    assert set(re.findall(r"https?://[^\s\"'<]+", html)) <= {"http://www.w3.org/2000/svg"}


def test_every_link_leads_somewhere_and_every_id_is_there_once(paper):
    page = Page(render(paper))
    assert sorted(page.ids) == sorted(set(page.ids))
    inside = {target.removeprefix("#") for target in page.targets}
    assert all(target.startswith("#") for target in page.targets)
    assert inside - set(page.ids) <= {"test-suspect-shipped", "test-attained-but-undelivered"}


def test_sections_stand_in_the_order_a_reader_needs(paper):
    html = render(paper)
    places = [
        html.index(f'id="{name}"')
        for name in (
            "failed", "tomorrow", "questions", "rates", "tests", "missing", "criteria", "sources",
            "limitations",
        )
    ]  # fmt: skip
    assert places == sorted(places)


def test_suspect_product_comes_before_everything_else_of_the_first_page(paper):
    html = render(paper)
    assert html.index("3 suspect lots are recorded") < html.index("Beyond the limit ran")


def test_the_innocent_reading_comes_before_numbers_by_stratum_and_rows(paper):
    html = render(paper)
    start = html.index('id="test-check-interval-exceeded"')
    places = [
        html.index(words, start)
        for words in (
            "What it may mean, the innocent reading first",
            "The check may lie in a file not given.",
            "A stop that nobody booked looks like running.",
            "By attendance",
            "The rows: 2 of 61 shown",
        )
    ]
    assert places == sorted(places)


def test_a_failed_test_is_named_at_the_top_with_its_message(paper):
    top = render(paper).split('id="tomorrow"')[0]
    assert "gauge-overdue" in top
    assert "A column was missing." in top
    calm = replace(paper, tests=tuple(test for test in paper.tests if test.status != "failed"))
    assert 'id="failed"' not in render(calm)


def test_text_of_the_records_is_escaped(paper, assessed_page):
    row = replace(assessed_page.rows[0], sentence="<img src=x onerror=alert(1)>")
    nasty = replace(assessed_page, rows=(row,))
    html = render(replace(paper, tests=(nasty,)))
    assert "<img" not in html
    assert "&lt;img src=x" in html


def test_the_query_is_shown_with_its_marks_escaped(paper):
    assert "select 1 &lt; 2 as exception" in render(paper)


def test_a_file_whose_rows_do_not_balance_is_said_so(paper):
    html = render(paper)
    assert html.count("Read is not loaded + refused + duplicates.") == 1


def test_a_paper_of_a_plant_with_almost_nothing_still_reads(paper):
    bare = replace(
        paper,
        first_page=FirstPage(
            Escapes("None.", (), 0, ""), Contrast("Not known.", None), None, (), (), ""
        ),
        questions=(), forest=None, strips=(), tests=(), unlocks=(), criteria=(), limitations=(),
        provenance=Provenance("f", "", (), (), 0, "", ()),
    )  # fmt: skip
    html = render(bare)
    assert "No test assessed a unit" in html
    assert "Every test had the tables it needs." in html


@pytest.mark.browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1200])
def test_the_page_never_scrolls_sideways_and_its_text_stays_legible(
    paper, tmp_path, chromium, scheme, width
):
    file = tmp_path / "paper.html"
    file.write_text(render(paper), encoding="utf-8")
    page = chromium.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
    page.goto(file.as_uri())
    wide = page.evaluate("document.documentElement.scrollWidth")
    smallest = page.evaluate(
        "Math.min(...[...document.querySelectorAll('svg text')].map("
        "one => one.getBoundingClientRect().height))"
    )
    colours = page.evaluate(
        "(one => [one.color, one.backgroundColor])(getComputedStyle(document.body))"
    )
    page.close()
    assert wide == width
    assert smallest >= 9
    assert len(set(colours)) == 2

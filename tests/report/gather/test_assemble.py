"""The paper of two days of one cell, from records to page."""

import io
import json
import re
from dataclasses import replace
from datetime import timedelta

from rich.console import Console

from witnessmark.record_tests.outcome import Outcome
from witnessmark.report.as_json import to_json
from witnessmark.report.assemble import assemble, unlocks_of
from witnessmark.report.gather.provenance import Origin
from witnessmark.report.gather.reader import Reader
from witnessmark.report.gather.ribbon import day_of, ribbon_of
from witnessmark.report.html import render
from witnessmark.report.summary import summary

PERSON = re.compile(r"kp-77\d\d")


def with_a_person(outcome):
    """The same outcome, its rows as a test that needs persons would give them."""
    rows = tuple(
        {**row, "done_by": "kp-7731", "sentence": f"kp-7732: {row['sentence']}"}
        for row in outcome.rows
    )
    return replace(outcome, rows=rows)


def by_slug(paper, slug):
    return next(test for test in paper.tests if test.slug == slug)


def outcome_of(battery, slug):
    return next(outcome for outcome in battery.outcomes if outcome.slug == slug)


def test_no_person_is_named_anywhere(battery):
    named = replace(battery, outcomes=tuple(map(with_a_person, battery.outcomes)))
    assert any(PERSON.search(str(row)) for one in named.outcomes for row in one.rows)
    paper = assemble(named, Origin("Plant Auenfeld", "0.1.0"))
    assert PERSON.search(render(paper)) is None
    assert PERSON.search(str(paper)) is None
    columns = [
        value
        for entry in json.loads(to_json(named)).values()
        for row in entry["rows"]
        for name, value in row.items()
        if name != "ref"
    ]
    assert [value for value in columns if PERSON.search(str(value))] == []


def test_title_names_process_and_period(paper):
    assert paper.title.process == "Bar-fed turning"
    assert paper.title.period_from.isoformat() == "2026-05-11"
    assert paper.title.freeze == "in memory"


def test_counts_of_the_page_are_those_of_the_outcome(battery, paper):
    for outcome in battery.outcomes:
        shown = by_slug(paper, outcome.slug)
        assert shown.population == outcome.counts.population
        assert shown.rate.exceptions == outcome.counts.exceptions
        assert shown.rows_total == outcome.rows_total


def test_the_contrast_is_that_of_the_test(battery, paper):
    strata = outcome_of(battery, "check-interval-exceeded").strata["attendance"]
    plot = paper.first_page.contrast.plot
    for group in plot.groups:
        assert group.assessed == strata[group.attendance].assessed
        assert group.exceptions == strata[group.attendance].exceptions
    assert "where nobody covered" in paper.first_page.contrast.sentence


def test_a_dot_never_stands_on_the_wrong_side_of_its_limit(paper):
    for group in paper.first_page.contrast.plot.groups:
        for one in group.intervals:
            assert (one.running_s > one.limit_s) == one.exception


def test_a_gap_in_which_the_machine_stood_is_dropped_as_a_suspicion(paper):
    assert "the machines stood" in paper.first_page.dropped


def test_the_ribbon_shows_the_day_with_its_states_and_who_was_there(battery):
    reader = Reader(battery.timeline)
    row = reader.one("test", "select timestamp '2026-05-12 21:00' as moment")
    figure = ribbon_of(reader, "T01", row["moment"], "05:30", "")
    assert figure.day.isoformat() == "2026-05-12"
    assert [shift.name for shift in figure.shifts] == ["early", "late", "night"]
    assert len(figure.shifts[0].breaks) == 1
    assert {one.kind for one in figure.attendance} == {"attended", "uncovered"}
    assert [one.kind for one in figure.states] == ["stopped", "running", "unknown"]
    late = [mark for mark in figure.marks if mark.due_at is not None]
    assert [f"{mark.at:%H:%M}" for mark in late] == ["15:45", "18:00"]
    assert late[0].at - late[0].due_at == timedelta(minutes=3)
    assert sum(mark.kind == "failed" for mark in figure.marks) == 1


def test_an_entry_made_too_late_is_marked_on_the_ribbon(battery):
    reader = Reader(battery.timeline)
    row = reader.one("test", "select timestamp '2026-05-11 10:00' as moment")
    figure = ribbon_of(reader, "T01", row["moment"], "05:30", "")
    assert [f"{mark.at:%H:%M}" for mark in figure.marks if mark.entered_later] == ["08:30"]


def test_a_day_without_shifts_begins_when_the_plant_says(battery):
    reader = Reader(battery.timeline)
    row = reader.one("test", "select timestamp '2026-01-01 02:00' as moment")
    span = day_of(reader, "T01", row["moment"], "05:30")
    assert span.day.isoformat() == "2025-12-31"
    assert f"{span.start_at:%Y-%m-%d %H:%M}" == "2025-12-31 04:30"


def test_what_cannot_be_read_costs_its_picture_and_is_said(battery):
    reader = Reader(battery.timeline)
    assert reader.rows("A picture", "select no_such_column from checks") == []
    assert reader.faults[0].startswith("A picture could not be made: Binder Error")


def test_json_holds_every_slug_with_the_promised_keys(battery):
    entries = json.loads(to_json(battery))
    assert list(entries) == [outcome.slug for outcome in battery.outcomes]
    wanted = {
        "status", "population", "assessed", "not_assessable", "not_applicable", "exceptions",
        "fragile", "rate", "lower", "upper", "criteria", "strata", "rows",
    }  # fmt: skip
    for outcome in battery.outcomes:
        entry = entries[outcome.slug]
        assert wanted <= set(entry)
        assert entry["status"] == outcome.status
        assert [row["ref"] for row in entry["rows"]] == [row["ref"] for row in outcome.rows]
        assert entry["population"] == entry["assessed"] + sum(entry["not_assessable"].values())


def test_json_gives_no_rate_where_nothing_was_assessed(battery):
    entry = json.loads(to_json(battery))["gauge-overdue"]
    assert entry["status"] == "not-assessable"
    assert (entry["rate"], entry["lower"], entry["upper"]) == (None, None, None)


def test_the_summary_fits_a_terminal_and_names_no_score(paper):
    console = Console(width=80, record=True, file=io.StringIO())
    console.print(summary(paper))
    said = console.export_text()
    assert max(len(line) for line in said.splitlines()) <= 80
    assert "check-interval-exceeded" in said
    assert "Is it checked as documented? partly" in said
    assert "score" not in said


def test_what_would_unlock_most_comes_first():
    def waiting(slug, *missing):
        return Outcome(slug, "not-assessable", missing=missing)

    unlocks = unlocks_of(
        [
            waiting("a", "lots"),
            waiting("b", "lots"),
            waiting("c", "runs|states"),
            waiting("d", "x", "y"),
            waiting("e", "x", "y"),
            waiting("f", "x", "y"),
        ]
    )
    assert [unlock.missing for unlock in unlocks] == ["lots", "runs or states", "x", "y"]
    assert unlocks[2].slugs == ("d", "e", "f")

"""Opening, feeding, putting aside and ending a trail by its pages."""

from datetime import timedelta

import pytest

from witnessmark.audit.act import now
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.event import written
from witnessmark.audit.exhaustion import CONDITIONS

NASTY = '<script>alert(1)</script>"\' onmouseover="x" <img src=x onerror=y> {{ 7|add:7 }} \u202e'


def opened(audit, **told):
    data = {"proposition": "P", "highest_grade": "minor", "clauses": "", **told}
    return audit.post("open-trail", **data)


def test_a_trail_opened_from_a_statement_lays_it_there(audit, statement):
    token = f"statement:{statement}"
    form = audit.page("open-trail", **{"from": token})
    assert "We always check." in form
    answer = opened(
        audit, **{"from": token, "bears": "against", "group": "setter", "rival": "R"},
        proposition="Checks are left out.", clauses="A 8.5.1.1, CP-114 ",
    )  # fmt: skip
    (trail,) = audit.state.trails.values()
    assert answer.headers["Location"] == audit.url("trail", trail.id)
    assert (trail.origin.id, trail.clauses) == (statement, ("A 8.5.1.1", "CP-114"))
    (link,) = trail.evidence
    assert (link.cited.id, link.bears, link.group) == (statement, "against", "setter")
    page = audit.page("spine")
    assert page.index("Checks are left out.") < page.index("We always check.")


def test_a_trail_may_start_blank_and_may_branch(audit, trail):
    opened(audit, proposition="Blank")
    opened(audit, proposition="Branch", parent=trail)
    born = {t.proposition: t for t in audit.state.trails.values()}
    assert born["Branch"].parent == trail
    assert born["Blank"].origin is None
    assert "Branch" in audit.page("trail", trail)


def test_what_is_refused_stands_on_the_form(audit):
    answer = opened(audit, proposition="   ")
    assert answer.status_code == 422
    assert audit.state.trails == {}


def test_a_token_of_nothing_is_not_found(audit, statement):
    for token in ("statement:x", "outcome:a:b", "row:a", "nonsense", f"observation:{statement}"):
        assert audit.get("open-trail", **{"from": token}).status_code == 404, token
    assert audit.get("lay").status_code == 404


def test_wording_anew_keeps_origin_evidence_and_what_it_said_before(audit, statement):
    opened(audit, **{"from": f"statement:{statement}", "bears": "for", "group": ""})
    (trail,) = audit.state.trails.values()
    audit.post("word-trail", trail.id, proposition="Q", highest_grade="major", clauses="")
    (now,) = audit.state.trails.values()
    assert (now.proposition, now.origin.id, len(now.evidence)) == ("Q", statement, 1)
    history = audit.page("trail-history", trail.id)
    assert history.index("Opened") < history.index("Worded anew")


def test_evidence_is_laid_from_either_side(audit, trail, statement):
    offered = audit.page("lay", trail=trail)
    assert f"statement:{statement}" in offered
    choose = audit.page("lay", cited=f"statement:{statement}")
    assert "Restarts go unverified at night." in choose
    form = audit.page("lay", trail=trail, cited=f"statement:{statement}")
    assert 'name="by_audited_function" id="id_by_audited_function" checked' in form
    audit.post(
        "lay", trail=trail, cited=f"statement:{statement}", bears="for", group="setter", note="N"
    )
    (link,) = audit.state.trails[trail].evidence
    assert (link.bears, link.by_audited_function, link.note) == ("for", False, "N")
    assert f"statement:{statement}" not in audit.page("lay", trail=trail)


def test_evidence_is_found_by_its_words(audit, trail):
    for number in range(40):
        audit.do(HearStatement(role="operator"), words=f"word{number:02} of many")
    first = audit.page("lay", trail=trail)
    assert "word39" in first
    assert "word00" not in first
    found = audit.page("lay", trail=trail, q="WORD00 operator")
    assert "word00" in found
    assert "word39" not in found


@pytest.mark.parametrize("show", ["open", "waiting", "closing", "ended", "all"])
def test_each_view_of_the_spine_shows_its_trails(audit, trail, show):
    waits = audit.do(OpenTrail(proposition="It waits."))
    audit.post("put-trail", waits, state="waiting", reason="The leader comes at six.")
    audit.do(OpenTrail(proposition="It closes.", closes_at="2031-01-01T05:30:00Z"))
    ended = audit.do(OpenTrail(proposition="It ended."))
    end(audit, ended, verdict="transferred")
    page = audit.page("spine", show=show)
    all_ = {"Restarts go unverified", "It waits.", "It closes.", "It ended."}
    expected = {
        "open": all_ - {"It ended."},
        "waiting": {"It waits."},
        "closing": {"It closes."},
        "ended": {"It ended."},
        "all": all_,
    }[show]
    assert {text for text in all_ if text in page} == expected


def test_the_window_that_closes_first_stands_on_top(audit, trail):
    soon = written(now() + timedelta(minutes=25))
    audit.do(OpenTrail(proposition="Later.", closes_at="2031-01-01T05:30:00Z"))
    sooner = audit.do(OpenTrail(proposition="Sooner."))
    audit.do(PromiseStep(what="See it", latest=soon, window="planner leaves", trail=sooner))
    page = audit.page("spine")
    assert page.index("Sooner.") < page.index("Later.")
    assert "closes in 2" in page
    assert "planner leaves" in page


def end(audit, trail, verdict, as_="lead", **told):
    data = {"verdict": verdict, "conclusion": "So it is.", "limitation": "", "considered": ""}
    return audit.post("close-trail", trail, as_=as_, **(data | told))


def test_ending_asks_for_the_conditions_or_a_limitation(audit, trail):
    answer = end(audit, trail, "supported")
    assert answer.status_code == 422
    assert "as a limitation" in answer.content.decode()
    held = {f"met-{key}": "on" for key in CONDITIONS}
    unsaid = end(audit, trail, "supported", **held)
    assert "Say how you know that it holds." in unsaid.content.decode()
    said = {f"said-{key}": f"Seen at {key}" for key in CONDITIONS}
    assert end(audit, trail, "supported", **held, **said).status_code == 302
    assert audit.state.trails[trail].state == "supported"
    assert "Seen at rival-tested" in audit.page("trail", trail)
    assert audit.get("close-trail", trail).status_code == 302


def test_evidence_after_the_end_is_shown_as_such(audit, trail, statement):
    audit.post("lay", trail=trail, cited=f"statement:{statement}", bears="for")
    (before,) = audit.state.trails[trail].evidence
    later = audit.do(MakeObservation(), note="The alarm was silent.")
    form = audit.page("close-trail", trail)
    assert before.id in form
    audit.post("lay", trail=trail, cited=f"observation:{later}", bears="against")
    end(audit, trail, "undetermined", limitation="Nights were not seen.", considered=before.id)
    now = audit.state.trails[trail]
    assert now.considered == {before.id}
    page = audit.page("trail", trail)
    assert "1 piece of evidence came after it ended" in page.replace("\u202f", "")
    assert "1 since it ended" in audit.page("spine", show="ended")


def test_an_ended_trail_is_taken_up_again_with_a_reason(audit, trail):
    end(audit, trail, "transferred")
    assert audit.post("put-trail", trail, state="open", reason="").status_code == 422
    audit.post("put-trail", trail, state="open", reason="New rows came.")
    assert audit.state.trails[trail].state == "open"
    parked = audit.post("put-trail", trail, state="parked", reason="Later")
    assert "needs the time" in parked.content.decode()


def test_awkward_words_are_shown_as_words(audit):
    said = audit.do(HearStatement(role=NASTY, place=NASTY), words=NASTY)
    seen = audit.do(MakeObservation(machine=NASTY, place=NASTY), note=NASTY)
    born = audit.do(OpenTrail(proposition=NASTY, rival=NASTY, next_step=NASTY, dropped_if=NASTY))
    for cited in (f"statement:{said}", f"observation:{seen}"):
        audit.post("lay", trail=born, cited=cited, bears="for", note=NASTY, group=NASTY)
    audit.do(PromiseStep(what=NASTY, with_role=NASTY, window=NASTY, trail=born))
    pages = [
        audit.page("spine"),
        audit.page("trail", born),
        audit.page("trail-history", born),
        audit.page("said"),
        audit.page("said", q=NASTY),
        audit.page("statement", said),
        audit.page("answer-statement", said, how="observation"),
        audit.page("seen"),
        audit.page("seen-item", seen),
        audit.page("lay", trail=born, q="script"),
        audit.page("open-trail", proposition=NASTY),
        audit.page("close-trail", born),
        audit.page("promises"),
        audit.page("observe", "staffing", machines=NASTY),
    ]
    for page in pages:
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert 'onmouseover="x"' not in page
        assert "14 \u202e" not in page


def test_the_spine_is_useful_with_no_three_and_forty_trails(audit):
    assert "No trail yet" in audit.page("spine")
    for number in range(3):
        audit.do(OpenTrail(proposition=f"Proposition {number:02}."))
    assert audit.page("spine").count('class="strand"') == 3
    for number in range(3, 40):
        audit.do(OpenTrail(proposition=f"Proposition {number:02}."))
    page = audit.page("spine")
    assert all(f"Proposition {number:02}." in page for number in range(40))


def test_a_sender_is_not_led_away_from_this_installation(audit, statement):
    for wanted in ("https://example.org/", "//example.org", "javascript:alert(1)"):
        answer = opened(audit, next=wanted)
        assert answer.headers["Location"].startswith("/audit/")

"""Statements: written down, corrected, answered, found among five hundred."""

import time

import pytest

from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.make_observation import MakeObservation


def hear(audit, as_="lead", **told):
    data = {"words": "W", "role": "setter", "language": "en", "read_back": "agreed", **told}
    return audit.post("hear", as_=as_, **data)


def test_a_statement_is_kept_with_its_place_time_and_translation(audit):
    answer = hear(
        audit, words="Die Prüfung macht irgendwer.", translation="Somebody makes the check.",
        language="de", place="row T1", shift="night", said_at="2026-07-01T22:41",
        requirement="WI-9",
    )  # fmt: skip
    (item,) = audit.state.statements.values()
    assert answer.headers["Location"] == audit.url("statement", item.id)
    assert (item.at, item.role, item.read_back) == ("2026-07-01T20:41:00Z", "setter", "agreed")
    page = audit.page("statement", item.id)
    for text in ("Die Prüfung", "Somebody makes", "Translated from German", "WI-9", "22:41"):
        assert text in page, text


def test_vague_words_prompt_four_questions_in_the_speaker_s_language(audit):
    hear(audit, words="Das wird regelmäßig geprüft.", language="de")
    (item,) = audit.state.statements.values()
    assert item.vague == ("regelmäßig",)
    page = audit.page("statement", item.id)
    assert page.count("<li>") >= 4
    assert "regelmäßig" in page.split("Ask once more")[1]
    hear(audit, words="On 3 July at 14:05 I checked two pieces.")
    plain = next(i for i in audit.state.statements.values() if i.id != item.id)
    assert "Ask once more" not in audit.page("statement", plain.id)


def test_a_statement_without_words_or_role_is_asked_for_them(audit):
    assert hear(audit, words="").status_code == 422
    assert hear(audit, role=" ").status_code == 422
    assert audit.state.statements == {}


def test_a_time_that_never_happened_is_refused(audit):
    answer = hear(audit, said_at="2026-03-29T02:30")
    assert "never happened" in answer.content.decode()


def test_a_correction_replaces_the_words_and_keeps_the_time(audit, statement):
    before = audit.state.statements[statement]
    form = audit.page("correct-statement", statement)
    assert "We always check." in form
    audit.post(
        "correct-statement", statement, words="We check every two hours.", role="setter",
        language="en", read_back="corrected", place="row T1",
    )  # fmt: skip
    after = audit.state.statements[statement]
    assert (after.at, after.read_back, len(after.history)) == (before.at, "corrected", 1)
    page = audit.page("statement", statement)
    assert "every two hours" in page
    assert "We always check." not in page


def test_each_way_of_answering(audit, statement):
    seen = audit.do(MakeObservation(), note="Nobody came for two hours.")
    other = audit.do(HearStatement(role="operator"), words="Not at night.")
    offered = audit.page("answer-statement", statement, how="observation")
    assert "Nobody came for two hours." in offered
    audit.post(
        "answer-statement", statement, how="observation", cited=f"observation:{seen}",
        result="contradicts", reason="",
    )  # fmt: skip
    audit.post(
        "answer-statement", statement, how="another person", cited=f"statement:{other}",
        result="partly", reason="",
    )  # fmt: skip
    audit.post("answer-statement", other, how="untested", reason="No night was seen.")
    told = [(a.how, a.result) for a in audit.state.statements[statement].answers]
    assert told == [("observation", "contradicts"), ("another person", "partly")]
    page = audit.page("said")
    assert "Observation, against it:" in page
    assert "Untested:" in page
    assert "We always check." in audit.page("said", show="contradicted")
    assert "Not at night." in audit.page("said", show="untested")
    assert "Not at night." not in audit.page("said", show="unanswered")


def test_no_answer_without_what_or_why(audit, statement):
    bare = audit.post("answer-statement", statement, how="records", cited="", result="agrees")
    assert bare.status_code == 422
    silent = audit.post("answer-statement", statement, how="no criterion", reason="")
    assert silent.status_code == 422
    assert audit.get("answer-statement", statement, how="nonsense").status_code == 404
    own = audit.post(
        "answer-statement", statement, how="another person", cited=f"statement:{statement}",
        result="agrees", reason="x",
    )  # fmt: skip
    assert own.status_code == 422
    assert audit.state.statements[statement].answers == []


@pytest.fixture
def crowd(audit):
    """Five hundred statements, one of them with a word of its own."""
    for number in range(500):
        words = "The quill is kept." if number == 77 else f"Statement number {number}."
        audit.do(HearStatement(role=f"operator {number % 9}", place="T1"), words=words)


def test_five_hundred_statements_are_paged_found_and_quick(audit, crowd):
    first = audit.page("said")
    assert first.count("<blockquote>") == 30
    assert "Statement number 499." in first
    last = audit.page("said", page="17")
    assert "Statement number 0." in last
    found = audit.page("said", q="QUILL")
    assert found.count("<blockquote>") == 1
    started = time.perf_counter()
    audit.page("spine")
    assert time.perf_counter() - started < 2


def test_a_destroyed_statement_says_so(audit, statement):
    from witnessmark.web.store.desk import actor_of, destroy_text

    mark = audit.state.statements[statement].words_sealed
    destroy_text(audit.id, actor_of(audit.accounts["lead"], audit.state), mark, "asked for")
    for name, *args in (("said",), ("statement", statement)):
        page = audit.page(name, *args)
        assert "destroyed" in page
        assert "We always check." not in page

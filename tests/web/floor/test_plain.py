"""A page that cannot chain tells, and the installation chains under the same ids."""

from uuid import uuid4

from witnessmark.audit.journal import check_chain


def told(kind="statement-heard", body=None, texts=None, **others):
    return {
        "id": str(uuid4()), "at": "2026-03-24T05:00:00.000Z", "kind": kind,
        "body": body or {"role": "setter"}, "texts": texts or {"words": "always"},
        "supersedes": "",
    } | others  # fmt: skip


def test_it_is_done_once_under_its_id(floor):
    item = told()
    first, again = floor.tell(item)[0], floor.tell(item)[0]
    assert (first["status"], again["status"]) == ("received", "known")
    assert list(floor.state.statements) == [item["id"]]
    from witnessmark.web.store.desk import STORE

    journal = STORE.received(floor.audit)
    assert check_chain(journal) == 2
    assert journal[-1].entry.event_key == ""


def test_what_is_refused_leaves_the_rest_alone(floor):
    bad, good = told(body={"role": ""}), told()
    assert [answer["status"] for answer in floor.tell(bad, good)] == ["refused", "received"]


def test_a_decision_or_a_mark_without_words_is_refused(floor):
    decision = told("audit-closed", {"closed_on": "2026-03-24"}, {})
    marked = told(body={"role": "setter", "words": "0" * 64}, texts={"translation": "x"})
    misnamed = told(texts={"role": "x"})
    odd = told(id="no-uuid")
    answers = floor.tell(decision, marked, misnamed, odd)
    assert {answer["status"] for answer in answers} == {"refused"}
    assert not floor.state.statements


def test_an_id_of_something_else_is_refused(floor):
    item = told()
    floor.tell(item)
    (answer,) = floor.tell(item | {"body": {"role": "leader"}})
    assert answer["status"] == "refused"

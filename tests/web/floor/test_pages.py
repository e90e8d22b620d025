"""The page for everybody, what it is told of the audit, and the notebook on paper."""

import json

import pytest

from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.actions.set_scope import SetScope
from witnessmark.audit.actions.set_site_rules import SetSiteRules
from witnessmark.audit.catalogue import catalogue
from witnessmark.audit.forms import FORMS
from witnessmark.web.floor.captures import CAPTURES


@pytest.fixture
def act(floor):
    """Acts as the lead."""
    from witnessmark.audit.people import Actor, Role
    from witnessmark.web.store.desk import desk

    def do(action, **others):
        return desk().act(floor.audit, Actor(floor.user, Role.LEAD), action, **others).event.id

    return do


def test_every_question_is_a_field_of_its_action_or_form():
    for capture in CAPTURES.values():
        action = catalogue()[capture.kind]
        fields = set(action.__struct_fields__)
        form = FORMS[capture.form].fields if capture.form else ()
        values = {field.name: field for field in form}
        for ask in capture.asks:
            if ask.kind == "photo":
                continue
            assert ask.name in (values if ask.into == "values" else fields), (capture.name, ask)
            assert (ask.name in action.sealed) == (ask.into == "text"), (capture.name, ask)
        assert sum(ask.first for ask in capture.asks) == 1
        asked = {ask.name for ask in capture.asks}
        assert {name for name, field in values.items() if field.needed} <= asked


def test_the_kept_page_is_the_same_for_everybody_and_holds_nothing_inline(floor, visitor):
    from django.test import Client

    own = floor.client.get(f"/floor/{floor.audit}/").content.decode()
    anybody = Client().get("/floor/shell/").content.decode()
    assert own == anybody
    assert "Turning" not in own
    assert 'style="' not in own
    assert "onclick" not in own
    assert own.count("<script") == own.count('<script type="module" src=') == 1


def test_the_worker_keeps_every_file_that_the_page_asks_for(floor):
    from django.test import Client

    answer = Client().get("/floor/worker.js")
    assert answer["Content-Type"].startswith("text/javascript")
    told = json.loads(answer.content.decode().split("const SHELL = ")[1].split(";\n")[0])
    page = Client().get(told["page"]).content.decode()
    for file in told["files"]:
        assert file.startswith("/static/")
    for piece in page.split('"'):
        if piece.startswith("/static/"):
            assert piece in told["files"], piece


def test_what_is_known_helps_to_write_and_tells_no_protected_source(floor, act):
    act(SetScope(text="row 3", machines=("M1", "M2"), areas=("hall 2",)))
    act(SetSiteRules(photos="not-allowed", danger_role="shift leader"))
    act(HearStatement(role="night setter", protected=True), texts={"words": "x"})
    act(HearStatement(role="washer", place="washing"), texts={"words": "y"})
    promise = act(PromiseStep(what="see the washing", latest="2026-03-24T14:00:00Z"))
    known = floor.client.get(f"/floor/{floor.audit}/known").json()
    assert known["remembered"]["machine"] == ["M1", "M2"]
    assert known["remembered"]["place"] == ["hall 2", "washing"]
    assert known["remembered"]["role"][0] == "washer"
    assert "night setter" not in json.dumps(known)
    assert [one["id"] for one in known["promises"]] == [promise]
    assert known["rules"]["photos"] == "not-allowed"
    assert known["zone"] == "Europe/Berlin"
    assert known["vague"]["en"]["phrases"]


def test_the_printed_notebook_has_every_form_with_numbered_lines(floor, act):
    act(SetScope(text="row 3", machines=("M1", "M2")))
    page = floor.client.get(f"/floor/{floor.audit}/print/").content.decode()
    for title in ("Somebody said", "Who is at which machine", "A danger that was told"):
        assert title in page
    assert "<b>HE1</b>" in page
    assert ">M2<" in page
    assert "Look, do not touch" in page


def test_a_line_is_keyed_in_with_the_time_at_which_it_was_written(floor):
    address = f"/floor/{floor.audit}/key-in/heard/"
    line = {
        "line": "HE3", "written_at": "2026-03-24T06:40", "words": "we look every hour",
        "role": "operator", "place": "row 3", "read_back": "agreed", "language": "en",
    }  # fmt: skip
    assert floor.client.post(address, line).status_code == 302
    (statement,) = floor.state.statements.values()
    assert (statement.at, statement.read_back) == ("2026-03-24T05:40:00Z", "agreed")


def test_a_grid_is_keyed_in_and_a_faulty_one_is_said(floor):
    address = f"/floor/{floor.audit}/key-in/staffing/"
    line = {"written_at": "2026-03-24T06:40", "grid": "M1 attended\nM 2 nobody\n"}
    assert floor.client.post(address, line | {"grid": "M1 asleep"}).status_code == 422
    assert floor.client.post(address, line).status_code == 302
    (seen,) = floor.state.observations.values()
    assert seen.values == {"grid": {"M1": "attended", "M 2": "nobody"}}
    assert seen.seen_at == "2026-03-24T05:40:00Z"


@pytest.mark.parametrize("name", [name for name, one in CAPTURES.items() if one.rows])
def test_every_sheet_can_be_keyed_in(floor, name):
    answer = floor.client.get(f"/floor/{floor.audit}/key-in/{name}/")
    assert answer.status_code == 200
    answer = floor.client.post(f"/floor/{floor.audit}/key-in/{name}/", {})
    assert answer.status_code == 422


def test_the_lead_states_the_rules_of_the_site(floor, member):
    address = f"/audit/{floor.audit}/preparation/rules/"
    body = {"photos": "not-allowed", "danger_role": "shift leader"}
    member("auditor").client.post(address, body)
    assert floor.state.site_rules.photos == "ask-each-time"
    assert floor.client.post(address, body).status_code == 302
    assert (floor.state.site_rules.photos, floor.state.site_rules.phones) == ("not-allowed", False)


def test_the_list_of_notebooks_shows_ones_own(floor, member):
    assert "Turning" in floor.client.get("/floor/").content.decode()
    assert "Turning" not in member("observer").client.get("/floor/").content.decode()

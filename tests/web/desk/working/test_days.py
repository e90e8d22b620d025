"""What was asked for, promises and the agenda."""

from datetime import timedelta

from django.core.files.uploadedfile import SimpleUploadedFile

from witnessmark.audit.act import now
from witnessmark.audit.actions.plan_appointment import PlanAppointment
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.event import written


def ahead(minutes):
    return written(now() + timedelta(minutes=minutes))


def test_a_request_shows_what_was_seen_then_and_what_changed(audit):
    audit.post(
        "ask-for", what="Sheet of T1-05", asked_role="setter", seen_when_asked="Row 4 is blank.",
        due="2031-01-01T10:00",
    )  # fmt: skip
    (item,) = audit.state.requests.values()
    assert item.due == "2031-01-01T09:00:00Z"
    assert "Row 4 is blank." in audit.page("receive", item.id)
    file = SimpleUploadedFile("sheet.html", b"<script>alert(1)</script>", "text/html")
    audit.post("receive", item.id, what="The sheet", changed="Row 4 is filled.", file=file)
    page = audit.page("request", item.id)
    assert page.index("Row 4 is blank.") < page.index("Row 4 is filled.")
    (receipt,) = audit.state.requests[item.id].receipts
    answer = audit.get("received-file", item.id, receipt.sha256)
    assert answer.content == b"<script>alert(1)</script>"
    assert answer.headers["Content-Type"] == "application/octet-stream"
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert audit.get("received-file", item.id, "0" * 64).status_code == 404
    assert "Row 4 is filled." in audit.page("asked")


def test_a_request_is_corrected_and_lies_on_a_trail(audit, trail):
    audit.post("ask-for", what="Sheet")
    (item,) = audit.state.requests.values()
    audit.post("correct-request", item.id, what="Sheet of May")
    audit.post("lay", trail=trail, cited=f"request:{item.id}", bears="neutral")
    assert "Sheet of May" in audit.page("trail", trail)


def test_promises_stand_by_their_closing_window(audit, trail):
    audit.do(PromiseStep(what="No end known"))
    audit.do(PromiseStep(what="In two hours", latest=ahead(125)))
    audit.do(PromiseStep(what="In ten minutes", latest=ahead(10), trail=trail))
    audit.do(PromiseStep(what="Over", latest=ahead(-30)))
    page = audit.page("promises")
    order = [
        page.index(f">{what}<")
        for what in ("Over", "In ten minutes", "In two hours", "No end known")
    ]
    assert order == sorted(order)
    assert "closed 30 min ago" in page
    assert "Restarts go unverified at night." in page
    assert "Next handover" in page


def test_a_promise_is_made_changed_and_settled(audit, trail):
    audit.post("promise", what="See the emptying", trail=trail, latest="2031-01-01T10:00")
    (item,) = audit.state.promises.values()
    assert item.id in audit.state.promised[trail]
    form = audit.page("correct-promise", item.id)
    assert 'value="2031-01-01T10:00"' in form
    audit.post("correct-promise", item.id, what="See the next emptying", trail=trail)
    assert audit.post("settle", item.id, outcome="refused", note="").status_code == 422
    audit.post("settle", item.id, outcome="refused", note="Not on this shift.")
    now_ = audit.state.promises[item.id]
    assert (now_.what, now_.outcome) == ("See the next emptying", "refused")
    assert "Not on this shift." in audit.page("promises")


def plan(audit, what, start, end, **told):
    return audit.post(
        "plan", what=what, kind_of="interview", starts_at=start, ends_at=end, worth="2", **told
    )


def test_the_agenda_shows_days_clashes_and_cover(audit):
    from witnessmark.web.store.desk import code_of

    mine = code_of(audit.accounts["lead"])
    plan(audit, "Planner", "2031-07-01T09:00", "2031-07-01T09:30", auditor=mine)
    plan(audit, "Gauges", "2031-07-01T09:15", "2031-07-01T10:00", auditor=mine)
    audit.post(
        "plan", what="Change", kind_of="handover", starts_at="2031-07-02T05:20",
        ends_at="2031-07-02T05:50", worth="3", auditor=mine,
    )  # fmt: skip
    page = audit.page("agenda")
    assert page.index("Tuesday 1 July") < page.index("Wednesday 2 July")
    assert "overlap for the same auditor" in page
    assert "into early" in page
    assert plan(audit, "Backwards", "2031-07-01T10:00", "2031-07-01T09:00").status_code == 422


def test_a_move_is_counted_and_a_drop_has_its_reason(audit):
    item = audit.do(
        PlanAppointment(
            what="Planner", starts_at="2031-07-01T07:00:00Z", ends_at="2031-07-01T07:30:00Z"
        )
    )
    data = {"what": "Planner", "kind_of": "interview", "worth": "2"}
    audit.post("move", item, **data, starts_at="2031-07-01T09:00", ends_at="2031-07-01T09:45")
    assert audit.state.appointments[item].moves == 0
    audit.post("move", item, **data, starts_at="2031-07-01T10:00", ends_at="2031-07-01T10:30")
    assert audit.state.appointments[item].moves == 1
    assert "costs goodwill" in audit.page("move", item)
    assert audit.post("drop", item, reason=" ").status_code == 422
    audit.post("drop", item, reason="The planner is ill.")
    assert "The planner is ill." in audit.page("agenda")


def test_forty_minutes_left_says_what_to_drop_and_why(audit):
    audit.do(PlanAppointment(what="Lab", starts_at=ahead(2), ends_at=ahead(32), worth=3))
    audit.do(PlanAppointment(what="Training", starts_at=ahead(5), ends_at=ahead(35), worth=1))
    page = audit.page("agenda", left="40")
    keep, drop = page.split("Drop, the first first")[0], page.split("Drop, the first first")[1]
    assert "Lab" in keep.split("Keep</h3>")[1]
    assert "Training" in drop.split("</ol>")[0]
    for odd in ("-1", "9" * 30, "x", "4.5", "²"):
        assert audit.get("agenda", left=odd).status_code == 200, odd


def test_a_promise_fills_the_appointment_that_keeps_it(audit):
    item = audit.do(PromiseStep(what="See the alarm", with_role="leader", place="T1"))
    page = audit.page("plan", promise=item)
    assert 'value="See the alarm"' in page
    assert f'value="{item}" selected' in page

"""Addresses of the pages that are worked at while an audit runs."""

from django.urls import URLPattern, URLResolver, include, path

from witnessmark.web.desk.working import (
    agenda,
    asked_for,
    asking_for_records,
    laying,
    observing,
    promised,
    records,
    said,
    seen,
    spine,
    trails,
)

TRAILS = [
    path("open/", trails.open_trail, name="open-trail"),
    path("lay/", laying.lay, name="lay"),
    path("<uuid:trail>/", trails.show, name="trail"),
    path("<uuid:trail>/words/", trails.word, name="word-trail"),
    path("<uuid:trail>/put/", trails.put, name="put-trail"),
    path("<uuid:trail>/end/", trails.close, name="close-trail"),
    path("<uuid:trail>/history/", trails.history, name="trail-history"),
]
SAID = [
    path("", said.said, name="said"),
    path("new/", said.hear, name="hear"),
    path("<uuid:statement>/", said.statement, name="statement"),
    path("<uuid:statement>/correct/", said.correct, name="correct-statement"),
    path("<uuid:statement>/answer/", said.answer, name="answer-statement"),
]
SEEN = [
    path("", seen.seen, name="seen"),
    path("new/photo/", observing.take_photo, name="take-photo"),
    path("new/document/", observing.transcribe, name="transcribe"),
    path("new/<slug:form>/", observing.observe, name="observe"),
    path("<uuid:item>/", seen.item, name="seen-item"),
    path("<uuid:item>/correct/", observing.correct, name="correct-observation"),
    path("<uuid:photo>/picture/", observing.photo_file, name="photo-file"),
    path("against/<slug:freeze>/", asking_for_records.hold_against, name="hold-against"),
]
RECORDS = [
    path("", records.records, name="records"),
    path("take-in/", asking_for_records.take_in, name="take-in"),
    path("work/<uuid:job>/", asking_for_records.job, name="records-job"),
    path("<slug:freeze>/", records.freeze, name="freeze"),
    path("<slug:freeze>/paper/", records.working_paper, name="working-paper"),
    path("<slug:freeze>/refused/", records.refused, name="refused-rows"),
    path("<slug:freeze>/tests/<slug:slug>/", records.outcome, name="outcome"),
    path("<slug:freeze>/tests/<slug:slug>/row/", records.row, name="row"),
]
ASKED = [
    path("", asked_for.asked, name="asked"),
    path("new/", asked_for.ask_for, name="ask-for"),
    path("<uuid:item>/", asked_for.one, name="request"),
    path("<uuid:item>/correct/", asked_for.correct, name="correct-request"),
    path("<uuid:item>/receive/", asked_for.receive, name="receive"),
    path("<uuid:item>/files/<slug:digest>/", asked_for.file, name="received-file"),
]
PROMISES = [
    path("", promised.promises, name="promises"),
    path("new/", promised.promise, name="promise"),
    path("<uuid:item>/", promised.correct, name="correct-promise"),
    path("<uuid:item>/settle/", promised.settle, name="settle"),
]
AGENDA = [
    path("", agenda.agenda, name="agenda"),
    path("new/", agenda.plan, name="plan"),
    path("<uuid:item>/", agenda.move, name="move"),
    path("<uuid:item>/drop/", agenda.drop, name="drop"),
]
AUDIT: list[URLPattern | URLResolver] = [
    path("", spine.spine, name="spine"),
    path("trails/", include(TRAILS)),
    path("said/", include(SAID)),
    path("seen/", include(SEEN)),
    path("records/", include(RECORDS)),
    path("asked/", include(ASKED)),
    path("promises/", include(PROMISES)),
    path("agenda/", include(AGENDA)),
]
urlpatterns = [path("<uuid:audit>/", include(AUDIT))]

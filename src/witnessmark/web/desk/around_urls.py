"""Addresses of the pages before and after an audit: preparation, findings, closing, follow-up."""

from django.urls import URLPattern, URLResolver, include, path

from witnessmark.web.desk.around import (
    answers,
    audits,
    cards,
    closing,
    draft,
    findings,
    follow_up,
    grade,
    journal,
    letter,
    preparation,
    reports,
    route,
    scope,
    team,
    verify,
)

FINDING = [
    path("", findings.shown, name="finding"),
    path("reword/", draft.reword, name="reword-finding"),
    path("grade/", grade.grade, name="grade-finding"),
    path("facts/", findings.acknowledge, name="acknowledge-facts"),
    path("issue/", findings.issue, name="issue-finding"),
    path("withdraw/", findings.withdraw, name="withdraw-finding"),
    path("route/", route.start, name="start-route"),
    path("route/answer/", route.acknowledge, name="acknowledge-route"),
    path("answer/", answers.key_in, name="key-in-response"),
    path("judge/", follow_up.judge, name="judge-response"),
    path("verify/", verify.verify_effect, name="verify-finding"),
    path("close/", follow_up.close, name="close-finding"),
    path("reopen/", follow_up.reopen, name="reopen-finding"),
]
ANSWER = [
    path("", answers.shown, name="answer"),
    path("respond/", answers.respond, name="respond"),
    path("facts/", answers.acknowledge, name="answer-facts"),
    path("route/", answers.acknowledge_route, name="answer-route"),
]
AUDIT: list[URLPattern | URLResolver] = [
    path("preparation/", preparation.shown, name="preparation"),
    path("preparation/scope/", scope.set_scope, name="set-scope"),
    path("preparation/criteria/", scope.set_criteria, name="set-criteria"),
    path("preparation/rules/", scope.set_site_rules, name="set-site-rules"),
    path("preparation/team/", team.join, name="join-member"),
    path("preparation/letter/", letter.shown, name="letter"),
    path("preparation/letter.txt", letter.as_file, name="letter-text"),
    path("preparation/machine/", cards.machine, name="machine-card"),
    path("preparation/handover/", cards.handover, name="handover-card"),
    path("findings/", findings.listed, name="findings"),
    path("findings/draft/", draft.draft, name="draft-finding"),
    path("findings/<uuid:finding>/", include(FINDING)),
    path("answers/", answers.listed, name="answers"),
    path("answers/<uuid:finding>/", include(ANSWER)),
    path("closing/", closing.shown, name="closing"),
    path("closing/limitation/", closing.declare, name="declare-limitation"),
    path(
        "closing/limitation/<uuid:limitation>/", closing.correct_limitation,
        name="correct-limitation",
    ),
    path("closing/conclude/<slug:question>/", closing.conclude, name="conclude"),
    path("closing/close/", closing.close, name="close-audit"),
    path("closing/sheet/", closing.sheet, name="meeting-sheet"),
    path("closing/reports/", reports.listed, name="reports"),
    path("closing/reports/make/", reports.make, name="make-papers"),
    path("closing/reports/seal/", reports.seal, name="seal"),
    path("closing/reports/sealed/<str:name>", reports.download_sealed, name="sealed-file"),
    path("closing/reports/<slug:key>/<str:name>", reports.download, name="paper"),
    path("closing/reports/<slug:key>/<str:name>/issue/", reports.issue, name="issue-paper"),
    path("journal/", journal.listed, name="journal"),
    path("journal/check/", journal.check, name="check-journal"),
    path("journal/<uuid:event>/", journal.shown, name="entry"),
    path("journal/destroy/<slug:mark>/", journal.destroy, name="destroy-text"),
]  # fmt: skip
urlpatterns = [
    path("new/", audits.open_audit, name="open-audit"),
    path("<uuid:audit>/", include(AUDIT)),
]

"""What lies on no trail yet: requests, promises, statements, sights of today."""

from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.actions.receive_evidence import ReceiveEvidence
from witnessmark.audit.actions.request_evidence import RequestEvidence
from witnessmark.audit.actions.settle_promise import SettlePromise
from witnessmark.audit.event import written
from witnessmark.practice.audits.day import Day
from witnessmark.practice.audits.scribe import Scribe, local_day


def write_loose_ends(scribe: Scribe, day: Day) -> None:
    """Writes what has no trail yet."""
    scribe.go_to(day.first("14:20"))
    scribe.do(
        RequestEvidence(
            what="Certificate of height gauge HGT-T202",
            asked_role="quality technician",
            seen_when_asked="Label on the gauge: due October 2026.",
            due=day.ahead(45),
        )
    )
    log = scribe.do(
        RequestEvidence(
            what="Paper forms WI-021-F2 of 11 November",
            asked_role="quality technician",
            seen_when_asked="A folder with eleven forms.",
        )
    )
    scribe.do(ReceiveEvidence(request=log, what="Copies of eleven forms", changed="Nothing."))
    done = scribe.do(
        PromiseStep(what="Board of row T1, last red day", with_role="team leader", place="board T1")
    )
    scribe.do(SettlePromise(promise=done, outcome="done", note="Action of the same day shown."))
    scribe.go_to(day.ago(50))
    scribe.do(
        PromiseStep(
            what="Certificate of HGT-T202",
            with_role="quality technician",
            place="gauge room",
            latest=day.ahead(45),
            window="gauge room closes",
        )
    )
    scribe.do(
        PromiseStep(
            what="Frozen plan of week 46",
            with_role="planner",
            place="planning office",
            latest=day.ahead(75),
            window="planner leaves",
        )
    )
    scribe.do(
        HearStatement(
            role="setter", place="row T1", shift="early", language="de", vague=("regelmäßig",)
        ),
        words="Die Einstellstücke werden regelmäßig aufgehoben.",
        translation="The set-up pieces are kept regularly.",
    )  # fmt: skip
    scribe.do(
        HearStatement(
            role="operator", place="row T1", shift="night", read_back="agreed", protected=True
        ),
        words="We were told to write the round down even when there was no time for it.",
    )  # fmt: skip
    scribe.do(
        MakeObservation(
            form="board",
            place="board T1",
            seen_at=written(day.ago(40)),
            values={
                "area": "T1",
                "letter": "Q",
                "day": local_day(day.ago(24 * 60)),
                "colour": "green",
            },
        )
    )
    scribe.do(
        MakeObservation(
            form="counter", machine="T1-06", place="row T1-B", seen_at=written(day.ago(33)),
            values={"pieces": 48211},
        )
    )  # fmt: skip

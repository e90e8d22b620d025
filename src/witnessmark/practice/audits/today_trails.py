"""Trails that wait, are parked, refuted, undetermined or handed on."""

from witnessmark.audit.actions.answer_statement import AnswerStatement
from witnessmark.audit.actions.close_trail import CloseTrail
from witnessmark.audit.actions.declare_limitation import DeclareLimitation
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.actions.put_trail import PutTrail
from witnessmark.audit.actions.transcribe_document import TranscribeDocument
from witnessmark.audit.cited import Cited
from witnessmark.audit.event import written
from witnessmark.practice.audits.day import Day
from witnessmark.practice.audits.deciding import close
from witnessmark.practice.audits.records import Records
from witnessmark.practice.audits.scribe import Scribe

UNCOVERED = "attendance=uncovered"


def write_trails(scribe: Scribe, day: Day, records: Records) -> None:
    """Writes the other trails of the audit under way."""
    _waiting(scribe, day, records)
    _late_entries(scribe, day, records)
    _ended_early(scribe, day, records)


def _waiting(scribe: Scribe, day: Day, records: Records) -> None:
    scribe.go_to(day.first("13:40"))
    change = written(day.next_change)
    trail = scribe.do(
        OpenTrail(
            proposition="After a jam at night machines restart and nobody looks at the pieces.",
            rival="The alarm resets the chip conveyor only; the spindle never stopped.",
            origin=records.cite("stop-unanswered"),
            clauses=("A 8.5.1.4",),
            next_step="Ask the night leader what the alarm resets, at the change of shift.",
            closes_at=change,
        )
    )
    alarm = scribe.do(
        HearStatement(
            role="operator, row T1", place="row T1-B", shift="late", vague=("itself",)
        ),
        words="The chip jam alarm clears itself.",
    )  # fmt: skip
    scribe.lay(
        trail,
        [
            (records.cite("stop-unanswered"), "for", "stops"),
            (records.cite("restart-unverified", UNCOVERED), "for", "stops"),
        ],
    )
    scribe.lay(trail, [(Cited("statement", id=alarm), "against", "")], outside=True)
    scribe.do(
        PromiseStep(
            what="What the jam alarm resets, shown by the person authorised",
            with_role="shift leader, night",
            place="row T1",
            latest=change,
            window="change of shift",
            trail=trail,
        )
    )
    scribe.do(
        PutTrail(trail=trail, state="waiting", reason="The night leader comes at the change.")
    )
    parked = scribe.do(
        OpenTrail(
            proposition="Bar-end pieces are not separated by control.",
            rival="The sorting step comes after washing.",
            clauses=("A 8.5.1.1",),
            next_step="See a bar change on T1-03.",
        )
    )
    seen = scribe.do(
        MakeObservation(
            form="free", machine="T1-03", place="row T1-A", seen_at=written(day.first("13:32"))
        ),
        note="A short bar-end piece lies in the bin of good pieces.",
    )
    scribe.do(LinkEvidence(trail=parked, cited=Cited("observation", id=seen), bears="for"))
    scribe.do(
        PutTrail(
            trail=parked,
            state="parked",
            reason="The next bar change on T1-03 is expected this afternoon.",
            return_at=day.ahead(200),
        )
    )


def _late_entries(scribe: Scribe, day: Day, records: Records) -> None:
    scribe.go_to(day.first("11:20"))
    late = scribe.do(
        OpenTrail(
            proposition="Night checks are written down at the end of the shift, not when made.",
            rival="The terminal of the row was down that night, and paper was keyed in later.",
            origin=records.cite("late-entry"),
            clauses=("A 9.1.1.1",),
            next_step="Ask the quality technician for the log of the terminal.",
        )
    )
    log = scribe.do(
        TranscribeDocument(
            title="Log of terminal T1-B",
            revision="",
            page="11 November 2026",
            place="gauge room",
        ),
        text="Terminal without network from 01:50 to 05:05; paper form WI-021-F2 used, keyed in "
        "from 05:10.",
    )
    heard = scribe.do(
        HearStatement(role="quality technician", place="gauge room", read_back="agreed"),
        words="The network of the row was gone that night. We have the paper forms.",
    )
    scribe.lay(late, [(records.cite("late-entry"), "for", "check system")])
    scribe.lay(
        late,
        [
            (Cited("document", id=log), "against", "log"),
            (Cited("statement", id=heard), "against", ""),
        ],
        outside=True,
    )
    scribe.do(
        AnswerStatement(
            statement=heard, how="document", result="agrees", cited=Cited("document", id=log)
        )
    )
    close(
        scribe,
        late,
        CloseTrail(
            trail=late,
            verdict="refuted",
            conclusion="The late entries of 11 November are paper forms keyed in after the network "
            "was back, as WI-021 provides.",
        ),
        {
            "two-kinds": "Log of the terminal, paper forms, and the technician.",
            "rival-tested": "The log names the hours; the forms carry the times.",
            "promises-settled": "The log was shown.",
            "extent-known": "All late entries of five weeks lie in that night.",
            "auditee-heard": "Quality technician.",
        },
    )


def _ended_early(scribe: Scribe, day: Day, records: Records) -> None:
    basket = scribe.do(
        OpenTrail(
            proposition="Traceability ends at washing: two part numbers in one basket.",
            rival="The baskets carry cards that were not looked at.",
            clauses=("Q 8.5.2",),
            next_step="Open a basket card with the operator of washing.",
        )
    )
    mixed = scribe.do(
        MakeObservation(
            form="free", machine="W1-01", place="washing", seen_at=written(day.first("12:10")),
            agreed_by="operator, washing",
        ),
        note="Two part numbers in one basket; the card holder is empty.",
    )  # fmt: skip
    scribe.lay(basket, [(Cited("observation", id=mixed), "for", "")], outside=True)
    close(
        scribe,
        basket,
        CloseTrail(
            trail=basket,
            verdict="undetermined",
            conclusion="One basket was seen; its card was not found before the basket moved on.",
            limitation="Washing was not examined further in this audit; one basket is no sample.",
        ),
        {"auditee-heard": "Operator of washing."},
    )
    scribe.do(
        DeclareLimitation(
            what="Traceability through washing was not examined.",
            why="One basket was seen, and it moved on.",
            effect="Nothing is said of mixed baskets.",
            trail=basket,
        )
    )
    bypass = scribe.do(
        OpenTrail(
            proposition="The light curtain of the bar loader of T1-02 is muted for loading.",
            rival="Muting is part of the approved loading cycle.",
            next_step="Told to the shift leader at once; not looked into further.",
        )
    )
    close(
        scribe,
        bypass,
        CloseTrail(
            trail=bypass,
            verdict="transferred",
            conclusion="Handed to the site's safety specialist, who took it over the same hour.",
        ),
        {},
    )
    gauge = scribe.do(
        OpenTrail(
            proposition="A height gauge was used past its due date.",
            rival="It was calibrated in time and the certificate is not in the register yet.",
            origin=records.cite("gauge-overdue"),
            clauses=("Q 7.1.5.2", "A 7.1.5.2.1"),
            next_step="Ask for the certificate of HGT-T202.",
            closes_at=day.ahead(45),
        )
    )
    scribe.lay(gauge, [(records.cite("gauge-overdue"), "for", "gauge register")])

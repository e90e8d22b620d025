"""The practice audit that is under way: its second day, half of it still ahead.

Times hang on the moment at which it is written, so that windows close while somebody looks.
"""

from collections.abc import Mapping
from datetime import UTC, datetime, time, timedelta

from witnessmark.audit.actions.answer_statement import AnswerStatement
from witnessmark.audit.actions.close_trail import CloseTrail
from witnessmark.audit.actions.declare_limitation import DeclareLimitation
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.plan_appointment import Kind, PlanAppointment
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.actions.put_trail import PutTrail
from witnessmark.audit.actions.receive_evidence import ReceiveEvidence
from witnessmark.audit.actions.request_evidence import RequestEvidence
from witnessmark.audit.actions.settle_promise import SettlePromise
from witnessmark.audit.actions.start_route import StartRoute
from witnessmark.audit.actions.transcribe_document import TranscribeDocument
from witnessmark.audit.event import written
from witnessmark.audit.items import Cited
from witnessmark.practice.audits.deciding import close, grade
from witnessmark.practice.audits.preparing import (
    CONTROL_PLAN,
    HOLD_RULE,
    SECOND_AUDITOR,
    prepare,
)
from witnessmark.practice.audits.records import Records
from witnessmark.practice.audits.scribe import Scribe, instant, local_day
from witnessmark.practice.shift_calendar import STARTS, ZONE

EVENING = "2026-11-19"
"""A visit to the night shift before the audit, inside the time of the records."""
UNCOVERED = "attendance=uncovered"
ATTENDED = "attendance=attended"


def write_today(scribe: Scribe, now: datetime, records: Records, seen: Mapping[str, str]) -> None:
    """Writes the audit up to this moment.

    Args:
        scribe: The lead auditor.
        now: This moment; the next windows close after it.
        records: Of the weeks before.
        seen: What was seen of each turning machine on the evening of the visit, in the words of
            the staffing form.
    """
    day = Day(now)
    prepare(
        scribe.go_to(now - timedelta(days=9)),
        "Bar turning, unattended nights",
        local_day(now - timedelta(days=1)),
        local_day(now),
    )
    scribe.go_to(max(now - timedelta(days=2), _utc("2026-11-22 17:00")))
    records.take_in(scribe, "audit")
    _agenda(scribe, day)
    visit = _visit(scribe, seen)
    _nights(scribe, day, records, visit)
    _suspect(scribe, day, records)
    _waiting(scribe, day, records)
    _others(scribe, day, records)
    _loose_ends(scribe, day)
    scribe.go_to(now)


class Day:
    """The two days of the audit, by the clock of the plant and by how long ago.

    Args:
        now: This moment.
    """

    def __init__(self, now: datetime) -> None:
        self.now = now.astimezone(UTC)

    def first(self, clock: str) -> datetime:
        """A time of yesterday."""
        day = (self.now - timedelta(days=1)).astimezone(ZONE).date()
        return datetime.combine(day, time.fromisoformat(clock), ZONE).astimezone(UTC)

    def ago(self, minutes: int) -> datetime:
        """So many minutes before now."""
        return self.now - timedelta(minutes=minutes)

    def ahead(self, minutes: int) -> str:
        """So many minutes after now, as the journal writes it."""
        return written(self.now + timedelta(minutes=minutes))

    @property
    def next_change(self) -> datetime:
        """The next change of shift."""
        today = self.now.astimezone(ZONE).date()
        days = (today, today + timedelta(days=1))
        changes = [datetime.combine(day, at, ZONE) for day in days for at in STARTS.values()]
        return min(change.astimezone(UTC) for change in changes if change > self.now)


def _utc(local: str) -> datetime:
    return datetime.fromisoformat(local).replace(tzinfo=ZONE).astimezone(UTC)


def _agenda(scribe: Scribe, day: Day) -> None:
    change = day.next_change
    handover = (change - timedelta(minutes=10), change + timedelta(minutes=20))
    yesterday: tuple[tuple[str, str, str, Kind, str, str], ...] = (
        (
            "05:20",
            "05:50",
            "Handover and staffing board, row T1",
            "handover",
            "shift leaders",
            "T1",
        ),
        ("05:50", "08:00", "Unattended row: control plan, watcher, bins", "floor", "", "row T1-B"),
        ("08:00", "08:25", "Daily performance meeting, silent", "meeting", "", "board T1"),
        ("08:30", "08:50", "Opening meeting", "meeting", "process owner", "meeting room"),
        ("11:00", "11:45", "Holds, gauges", "interview", "quality technician", "gauge room"),
        ("13:15", "13:55", "Handover", "handover", "shift leaders", "row T1"),
    )
    for start, end, what, kind, role, place in yesterday:
        _plan(scribe, what, kind, role, place, (day.first(start), day.first(end)), worth=3)
    ahead: tuple[tuple[int, int, str, Kind, str, str, int], ...] = (
        (-75, -30, "Set-up as it comes, T1-06", "floor", "setter", "row T1-B", 2),
        (-30, 10, "Consolidate", "writing", "", "meeting room", 2),
        (25, 55, "Stop log of the nights", "interview", "maintenance planner", "workshop", 2),
        (45, 75, "Frozen plan and overtime", "interview", "planner", "planning office", 1),
        (100, 130, "Shipping: where lots went", "interview", "logistics leader", "dispatch", 3),
        (150, 210, "Free for trails", "free", "", "", 1),
    )
    for start_min, end_min, what, kind, role, place, worth in ahead:
        span = (day.ago(-start_min), day.ago(-end_min))
        _plan(scribe, what, kind, role, place, span, worth=worth)
    _plan(scribe, "Handover, night authority", "handover", "shift leaders", "row T1", handover, 3)
    _plan(
        scribe,
        "Training and qualification records",
        "records",
        "training coordinator",
        "office",
        (day.ago(-30), day.ago(-70)),
        worth=2,
        auditor=SECOND_AUDITOR,
    )


def _plan(
    scribe: Scribe,
    what: str,
    kind: Kind,
    role: str,
    place: str,
    span: tuple[datetime, datetime],
    worth: int,
    auditor: str = "",
) -> None:
    scribe.do(
        PlanAppointment(
            what=what,
            kind_of=kind,
            with_role=role,
            place=place,
            starts_at=written(span[0]),
            ends_at=written(span[1]),
            auditor=auditor or scribe.actor.user,
            worth=worth,  # type: ignore[arg-type]  # 1, 2 or 3
        )
    )


def _visit(scribe: Scribe, seen: Mapping[str, str]) -> dict[str, str]:
    """The evening visit: what was seen at the machines, and what was said."""
    scribe.at(f"{EVENING} 21:52")
    grid = scribe.do(
        MakeObservation(
            form="staffing",
            place="rows T1 and T2",
            seen_at=instant(f"{EVENING} 21:50"),
            values={"grid": dict(seen)},
            agreed_by="shift leader, night",
        )
    )
    scribe.at(f"{EVENING} 22:03")
    catcher = scribe.do(
        MakeObservation(
            form="machine-state",
            machine="T1-06",
            place="row T1-B",
            seen_at=instant(f"{EVENING} 22:02"),
            values={"state": "running", "presence": "nobody"},
        ),
        note="Parts catcher full, some thirty pieces lie beside it on the tray.",
    )
    scribe.at(f"{EVENING} 22:11")
    sheet = scribe.do(
        MakeObservation(
            form="last-check",
            machine="T1-06",
            place="row T1-B",
            seen_at=instant(f"{EVENING} 22:10"),
            values={"checked_at": instant(f"{EVENING} 21:10"), "line": "10", "result": "pass"},
        )
    )
    scribe.at(f"{EVENING} 22:19")
    leader = scribe.do(
        HearStatement(
            role="shift leader, night",
            place="row T1",
            shift="night",
            language="en",
            read_back="agreed",
            vague=("usually", "somebody"),
        ),
        words="Usually somebody goes over every two hours and takes a piece.",
    )
    return {"grid": grid, "catcher": catcher, "sheet": sheet, "leader": leader}


def _nights(scribe: Scribe, day: Day, records: Records, visit: Mapping[str, str]) -> None:
    scribe.go_to(day.first("09:10"))
    trail = scribe.do(
        OpenTrail(
            proposition="In row T1-B nobody checks while the machines run alone at night.",
            rival="The neighbour makes the round and enters the checks on another sheet.",
            origin=records.cite("check-interval-exceeded", UNCOVERED),
            clauses=("A 8.5.1.1", "Q 8.5.1"),
            highest_grade="major",
            next_step="Ask the operator of row T2 for his sheet of last night.",
            dropped_if="A sheet with the checks of T1-05 to T1-08 turns up.",
        )
    )
    neighbour = scribe.do(
        HearStatement(
            role="operator, row T2", place="row T2", shift="night", language="pl",
            read_back="agreed",
        ),
        words="Na T1 nie chodzę. Mam swoje sześć maszyn.",
        translation="I do not go over to T1. I have my own six machines.",
    )  # fmt: skip
    scribe.lay(
        trail,
        [
            (records.cite("check-interval-exceeded", UNCOVERED), "for", "check system"),
            (records.cite("check-interval-exceeded", ATTENDED), "against", "check system"),
            (records.cite("unattended-without-permission", UNCOVERED), "for", "staffing"),
        ],
    )
    scribe.lay(
        trail,
        [
            (Cited("observation", id=visit["grid"]), "for", "visit"),
            (Cited("observation", id=visit["catcher"]), "for", "visit"),
            (Cited("statement", id=visit["leader"]), "against", ""),
            (Cited("statement", id=neighbour), "for", ""),
        ],
        outside=True,
    )
    for said, result in ((neighbour, "agrees"), (visit["leader"], "contradicts")):
        scribe.do(
            AnswerStatement(
                statement=said,
                how="records",
                result=result,  # type: ignore[arg-type]  # one of its words
                cited=records.cite("check-interval-exceeded", UNCOVERED),
            )
        )
    scribe.do(
        OpenTrail(
            proposition="The permission for unattended nights is older than what runs under it.",
            rival="The permission was extended, and the paper lies with the head of turning.",
            origin=records.cite_row("unattended-without-permission"),
            clauses=("Q 8.5.1",),
            parent=trail,
            next_step="Ask the head of turning for UP-00005 and its date.",
            closes_at=day.ahead(170),
        )
    )
    scribe.go_to(day.ago(95))
    close(
        scribe,
        trail,
        CloseTrail(
            trail=trail,
            verdict="supported",
            conclusion="Unattended nights of row T1-B run without the checks that the control plan "
            "states; the same finding of October was not corrected.",
            limitation="Whether the permission was extended is followed on a trail of its own.",
        ),
        {
            "two-kinds": "Records, what was seen on 19 November, and the operator of row T2.",
            "rival-tested": "The sheet of row T2 for that night holds no check of row T1.",
            "promises-settled": "None open on this trail.",
            "extent-known": "Every interval of five weeks is in the records.",
            "consequence-followed": "Lots followed to shipment; see the finding on suspect lots.",
            "auditee-heard": "Night leader and team leader.",
        },
    )
    _night_finding(scribe, records, trail)


def _night_finding(scribe: Scribe, records: Records, trail: str) -> None:
    finding = scribe.do(
        DraftFinding(
            trail=trail,
            requirement=CONTROL_PLAN,
            process="Bar-fed turning",
            place="Row T1-B",
            statement="The interval between checks that the control plan states was exceeded on "
            "machines that ran without anybody.",
            facts=(
                records.fact(
                    "check-interval-exceeded", "Intervals of uncovered running.", UNCOVERED
                ),
                records.fact(
                    "check-interval-exceeded",
                    "Intervals of attended running, for comparison.",
                    ATTENDED,
                ),
                records.row_fact("check-interval-exceeded"),
            ),
            extent="T1-05 to T1-08, nights of five weeks; none while somebody attended.",
            consequence="Suspect lots of one restart and one failed check: finding 2.",
            rival_excluded="The sheet of row T2 of 19 November holds no check of row T1.",
            containment_asked_at=written(scribe.moment),
        )
    )
    grade(
        scribe,
        finding,
        "major",
        "The control does not exist on unattended nights, and the action on the October finding "
        "did not change that.",
        {"rule": "not followed", "repeated": "yes", "plant_acted": "no", "special": "no"},
    )


def _suspect(scribe: Scribe, day: Day, records: Records) -> None:
    scribe.go_to(day.ago(80))
    trail = scribe.do(
        OpenTrail(
            proposition="Lots made after a jam at night left before anybody decided on them.",
            rival="They were sorted before washing, and the sorting is booked elsewhere.",
            origin=records.cite("suspect-shipped"),
            clauses=("A 8.7.1.3",),
            highest_grade="major",
            next_step="See the sorting records of final inspection for the lots named.",
            closes_at=day.ahead(130),
        )
    )
    hold = scribe.do(
        MakeObservation(
            form="hold-area",
            place="hold area, row T1",
            seen_at=written(day.ago(70)),
            values={"lots": [_lot(records, 1)]},
        )
    )
    scribe.lay(trail, [(records.cite("suspect-shipped"), "for", "lots")])
    scribe.lay(trail, [(Cited("observation", id=hold), "neutral", "")], outside=True)
    scribe.do(
        PromiseStep(
            what="Sorting records of final inspection for the suspect lots",
            with_role="logistics leader",
            place="dispatch",
            latest=day.ahead(130),
            window="the truck leaves",
            trail=trail,
        )
    )
    finding = scribe.do(
        DraftFinding(
            trail=trail,
            requirement=HOLD_RULE,
            process="Bar-fed turning",
            place="Row T1, dispatch",
            statement="Suspect lots were not held in time, and some are recorded as shipped.",
            facts=(
                records.fact("suspect-shipped", "Suspect lots recorded as shipped."),
                records.row_fact("suspect-shipped"),
            ),
            extent="Followed over lot links to the shipments in the records.",
            consequence="Not known yet: whether the lots were sorted is being asked.",
            suspect_product=True,
        )
    )
    scribe.do(
        StartRoute(
            finding=finding,
            product=f"Lot {_lot(records, 0)} and the lots named beside it, suspect; quantity as in "
            "the records.",
            informed_role="quality manager",
            deputy_role="quality technician on shift",
            informed_at=written(scribe.moment),
        )
    )


def _lot(records: Records, number: int) -> str:
    """A lot of a row of suspect-shipped."""
    rows = records.outcomes["suspect-shipped"].rows
    return str(rows[number % len(rows)]["ref"]).rsplit("/", 1)[-1]


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


def _others(scribe: Scribe, day: Day, records: Records) -> None:
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
    scribe.do(
        OpenTrail(
            proposition="A height gauge was used past its due date.",
            rival="It was calibrated in time and the certificate is not in the register yet.",
            origin=records.cite("gauge-overdue"),
            clauses=("Q 7.1.5.2", "A 7.1.5.2.1"),
            next_step="Ask for the certificate of HGT-T202.",
            closes_at=day.ahead(45),
        )
    )


def _loose_ends(scribe: Scribe, day: Day) -> None:
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

"""The unattended nights: what was seen on an evening, what was said, what the records show."""

from collections.abc import Mapping

from witnessmark.audit.actions.answer_statement import AnswerStatement
from witnessmark.audit.actions.close_trail import CloseTrail
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.cited import Cited
from witnessmark.audit.event import written
from witnessmark.practice.audits.day import Day
from witnessmark.practice.audits.deciding import close, grade
from witnessmark.practice.audits.preparing import (
    CONTROL_PLAN,
)
from witnessmark.practice.audits.records import Records
from witnessmark.practice.audits.scribe import Scribe, instant

EVENING = "2026-11-19"
"""A visit to the night shift before the audit, inside the time of the records."""
UNCOVERED = "attendance=uncovered"
ATTENDED = "attendance=attended"


def write_visit(scribe: Scribe, seen: Mapping[str, str]) -> dict[str, str]:
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


def write_nights(scribe: Scribe, day: Day, records: Records, visit: Mapping[str, str]) -> None:
    """Opens, feeds and closes the trail of the nights, and drafts its finding."""
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
    branch = scribe.do(
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
    scribe.lay(
        branch, [(records.cite("unattended-without-permission", UNCOVERED), "for", "staffing")]
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

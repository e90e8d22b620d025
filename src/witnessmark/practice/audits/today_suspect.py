"""Suspect lots: a trail, a finding in draft, and the plant's information route."""

from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.actions.start_route import StartRoute
from witnessmark.audit.cited import Cited
from witnessmark.audit.event import written
from witnessmark.practice.audits.day import Day
from witnessmark.practice.audits.preparing import (
    HOLD_RULE,
)
from witnessmark.practice.audits.records import Records
from witnessmark.practice.audits.scribe import Scribe


def write_suspect(scribe: Scribe, day: Day, records: Records) -> None:
    """Opens the trail of suspect lots, drafts the finding, starts the route."""
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

"""A rich audit of the practice plant, written through the actions: each part of a report has some.

The facts of its findings are the counts of the outcomes handed in: made-up ones, or real.
"""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from hashlib import sha256

from witnessmark.audit.act import Desk
from witnessmark.audit.actions.acknowledge_facts import AcknowledgeFacts
from witnessmark.audit.actions.acknowledge_route import AcknowledgeRoute
from witnessmark.audit.actions.answer_statement import AnswerStatement
from witnessmark.audit.actions.close_trail import CloseTrail, ConditionBody
from witnessmark.audit.actions.compare_observation import CompareObservation
from witnessmark.audit.actions.conclude_question import ConcludeQuestion
from witnessmark.audit.actions.declare_limitation import DeclareLimitation
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.drop_appointment import DropAppointment
from witnessmark.audit.actions.grade_finding import GradeFinding
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.issue_finding import IssueFinding
from witnessmark.audit.actions.join_member import JoinMember
from witnessmark.audit.actions.judge_response import JudgeResponse
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.plan_appointment import PlanAppointment
from witnessmark.audit.actions.promise_step import PromiseStep
from witnessmark.audit.actions.put_trail import PutTrail
from witnessmark.audit.actions.receive_evidence import ReceiveEvidence
from witnessmark.audit.actions.record_outcomes import RecordOutcomes
from witnessmark.audit.actions.request_evidence import RequestEvidence
from witnessmark.audit.actions.respond_to_finding import RespondToFinding
from witnessmark.audit.actions.set_criteria import CriterionBody, SetCriteria
from witnessmark.audit.actions.set_scope import SetScope
from witnessmark.audit.actions.settle_promise import SettlePromise
from witnessmark.audit.actions.start_route import StartRoute
from witnessmark.audit.actions.take_in_records import TakeInRecords
from witnessmark.audit.actions.take_photo import TakePhoto
from witnessmark.audit.actions.transcribe_document import TranscribeDocument
from witnessmark.audit.actions.verify_finding import VerifyFinding
from witnessmark.audit.actions.withdraw_finding import WithdrawFinding
from witnessmark.audit.cited import Cited, Fact, Requirement, TestResult
from witnessmark.audit.exhaustion import CONDITIONS
from witnessmark.audit.memory import MemoryStore
from witnessmark.audit.people import Actor, Role
from witnessmark.audit.signing import Signer
from witnessmark.record_tests.outcome import Counts, Outcome, Sensitivity, UsedCriterion
from witnessmark.report.audit_report.sources import Sources
from witnessmark.stats.proportion import exact_interval

AUDIT = "0b7f3c52-2f0e-4f59-9d38-0d9a1f3f6f01"
DESK = "5f0c8c0a-6a53-4a1b-8f6e-7a0d5a3d9f10"
LEAD = Actor("lead", Role.LEAD)
FREEZE = "d4e1d32e5c47042b470e8560b5d54c2f"
LATER = "a90c1f0e5c47042b470e8560b5d54c2f"
PROTECTED = "KINGFISHER they told me to copy the sheet"
MEMORY_CLAUSE = "A 8.5.1.1"
FORMULA = '=HYPERLINK("https://example.org","look")'


@dataclass
class Clock:
    """A clock that the builder sets; it moves a minute whenever it is read."""

    moment: datetime = field(default=datetime(2026, 12, 1, 3, 50, tzinfo=UTC))

    def __call__(self):
        self.moment += timedelta(minutes=1)
        return self.moment


def outcome(slug, exceptions, assessed, unknown=0, attendance=(), criteria=(), rows=()):
    """A made-up outcome with honest counts."""
    counts = Counts(assessed - exceptions, exceptions, {"no record": unknown} if unknown else {})
    strata = {name: Counts(n - x, x) for name, x, n in attendance}
    return Outcome(
        slug=slug,
        status="assessed",
        counts=counts,
        interval=exact_interval(exceptions, assessed),
        strata={"attendance": strata} if strata else {},
        criteria=tuple(
            UsedCriterion(name, Decimal(value), unit, source, is_default)
            for name, value, unit, source, is_default in criteria
        ),
        sensitivity=tuple(
            Sensitivity(name, Decimal(value), Decimal(value) * 2, unit, exceptions, exceptions // 2)
            for name, value, unit, _, is_default in criteria
            if is_default
        ),
        rows=tuple(rows),
        rows_total=exceptions,
        digest=sha256(slug.encode()).hexdigest()[:32],
    )


def made_up_outcomes():
    """A handful of outcomes in the proportions of the practice plant."""
    grace = (("patrol_grace_share", "0.10", "0..1", "common practice, no source", True),)
    late = (("late_entry_min", "30", "min", "WI-021 rev 5, section 4", False),)
    gap = {
        "ref": "R1/1/2026-10-01T01:00Z",
        "machine_id": "T-07",
        "is_fragile": False,
        "from_at": "2026-10-01 01:00:00",
        "sentence": "a gap",
    }
    return (
        outcome(
            "check-interval-exceeded",
            224,
            15800,
            12,
            (("attended", 40, 12000), ("covered", 4, 300), ("authorised", 180, 3500)),
            grace,
            (gap,),
        ),
        outcome("suspect-shipped", 13, 20),
        outcome("suspect-uncontained", 9, 12),
        outcome("handover-incomplete", 118, 579),
        outcome("late-entry", 67, 16696, criteria=late),
        outcome("gauge-overdue", 0, 5221),
        outcome("first-off-missing", 0, 1943),
        outcome("red-without-action", 2, 63),
    )


def new_desk():
    """A desk with a store in memory and a clock of its own."""
    return Desk(MemoryStore(), DESK, Signer(bytes(range(32))), Clock())


def sources_of(desk, outcomes=None, folders=None):
    """What a report is made from."""
    return Sources(
        state=desk.state(AUDIT),
        reveal=desk.store.reveal,
        received=desk.store.received(AUDIT),
        outcomes=outcomes or {},
        folders=folders or {},
    )


class Writer:
    """Writes the audit; one method per part, in the order of the work."""

    def __init__(self, desk, outcomes, freeze=FREEZE):
        self.desk, self.freeze = desk, freeze
        self.by_slug = {one.slug: one for one in outcomes}

    def act(self, action, texts=None, supersedes=""):
        return self.desk.act(AUDIT, LEAD, action, texts, supersedes).event.id

    def at(self, *moment):
        self.desk.clock.moment = datetime(*moment, tzinfo=UTC)

    def cited(self, slug):
        one = self.by_slug[slug]
        return Cited(
            "outcome",
            freeze=self.freeze,
            slug=slug,
            digest=one.digest,
            exceptions=one.counts.exceptions,
            assessed=one.counts.assessed,
        )

    def fact(self, slug, text, selection="whole population"):
        counts = self.by_slug[slug].counts
        return Fact(
            text,
            counts.exceptions,
            counts.assessed,
            "31 Aug to 29 Nov 2026",
            selection,
            self.cited(slug),
        )

    def prepare(self):
        self.act(
            OpenAudit(
                title="Bar turning, three shifts",
                process="bar-fed turning",
                site="practice plant, hall 2",
                zone="Europe/Berlin",
                starts_on="2026-12-01",
                ends_on="2026-12-02",
            )
        )
        self.act(
            JoinMember(
                user="lead",
                role="lead-auditor",
                function="process auditor",
                independence="Works for quality planning; never in the turning area or its line.",
                competence="Eleven process audits of turning; knows the plant's control plans.",
            )
        )
        self.act(
            JoinMember(
                user="second",
                role="auditor",
                function="auditor in training",
                independence="From the assembly plant.",
                competence="Second audit, accompanied.",
            )
        )
        self.act(JoinMember(user="owner", role="programme-owner", function="head of audits"))
        self.act(JoinMember(user="area", role="auditee", function="area manager turning"))
        self.act(
            SetScope(
                text="Bar-fed turning from set-up to the washing basket, all three shifts.",
                not_in_scope="Washing, heat treatment, final inspection.",
                areas=("Turning A", "Turning B"),
                shifts=("early", "late", "night", "weekend"),
                machines=("T-03", "T-07", "T-09", "T-12"),
            )
        )
        self.act(
            SetCriteria(
                documents=(
                    CriterionBody("Control plan CP-114", "7", "2026-08-31", (MEMORY_CLAUSE,)),
                    CriterionBody("WI-017 Suspect product", "3", "2026-08-31", ("Q 8.7",)),
                    CriterionBody("WI-021 Records", "5", "2026-08-31"),
                    CriterionBody("WI-030 Shift handover", "2", "2026-08-31"),
                )
            )
        )
        self.act(
            TakeInRecords(freeze=self.freeze, period="31 Aug to 29 Nov 2026", tool_version="0.1.0")
        )
        self.act(
            RecordOutcomes(
                freeze=self.freeze,
                results=tuple(
                    TestResult(
                        slug=one.slug,
                        status=one.status,
                        exceptions=one.counts.exceptions,
                        assessed=one.counts.assessed,
                        population=one.counts.population,
                        not_assessable=one.counts.population - one.counts.assessed,
                        digest=one.digest,
                    )
                    for one in self.by_slug.values()
                ),
            )
        )

    def plan(self):
        for what, kind, role, place, shift, start, end in (
            ("Handover night to early", "handover", "shift leaders", "Turning A", "early",
             "2026-12-01T04:20:00Z", "2026-12-01T04:50:00Z"),
            ("Unattended row, bins and control plan", "floor", "watcher", "Turning A", "early",
             "2026-12-01T04:50:00Z", "2026-12-01T07:00:00Z"),
            ("Planning and overtime", "interview", "planner", "office", "",
             "2026-12-01T08:00:00Z", "2026-12-01T08:30:00Z"),
            ("Handover early to late", "handover", "shift leaders", "Turning A", "late",
             "2026-12-01T12:15:00Z", "2026-12-01T12:55:00Z"),
            ("Night leader's round", "floor", "night leader", "Turning B", "night",
             "2026-12-02T20:00:00Z", "2026-12-02T21:00:00Z"),
        ):  # fmt: skip
            last = self.act(
                PlanAppointment(
                    what=what,
                    kind_of=kind,
                    with_role=role,
                    place=place,
                    shift=shift,
                    starts_at=start,
                    ends_at=end,
                )
            )
        self.act(DropAppointment(appointment=last, reason="A set-up crash took the evening."))

    def hear(self):
        self.at(2026, 12, 1, 4, 55)
        self.alarm = self.act(
            HearStatement(
                role="operator",
                place="Turning A",
                shift="early",
                language="de",
                read_back="agreed",
                vague=("usually",),
            ),
            {
                "words": "Der Spänealarm quittiert sich meistens selbst.",
                "translation": "The chip alarm usually clears itself.",
            },
        )
        self.handed = self.act(
            HearStatement(role="shift leader", place="Turning A", shift="early"),
            {"words": "We hand over everything on the sheet, every shift."},
        )
        self.planner = self.act(
            HearStatement(role="planner", place="office"), {"words": FORMULA + " is my sheet"}
        )
        self.quiet = self.act(
            HearStatement(
                role="whistling temp", place="behind hall 2", shift="night", protected=True
            ),
            {"words": PROTECTED},
        )
        self.act(
            AnswerStatement(
                statement=self.handed,
                how="records",
                result="contradicts",
                cited=self.cited("handover-incomplete"),
            )
        )
        self.act(
            AnswerStatement(
                statement=self.quiet,
                how="untested",
                reason="KINGFISHER cannot be asked twice",
            )
        )

    def see(self):
        self.at(2026, 12, 1, 5, 20)
        self.photo = self.act(
            TakePhoto(sha256=sha256(b"bin").hexdigest(), size=8, caption="full catcher at T-07")
        )
        self.catcher = self.act(
            MakeObservation(
                form="machine-state",
                machine="T-07",
                place="Turning A, row 2",
                seen_at="2026-12-01T05:18:00Z",
                values={"state": "running", "presence": "nobody", "part_no": "P-204"},
                photos=(self.photo,),
            ),
            {"note": "Parts lie beside the full catcher."},
        )
        grid = {"T-03": "attended", "T-07": "nobody", "T-09": "watched"}
        staffing = self.act(
            MakeObservation(
                form="staffing",
                place="Turning A",
                seen_at="2026-12-01T06:02:00Z",
                values={"grid": grid},
            )
        )
        for name, result in (("T-03", "agrees"), ("T-07", "agrees"), ("T-09", "contradicts")):
            self.act(
                CompareObservation(
                    observation=staffing,
                    freeze=self.freeze,
                    field_name=f"grid/{name}",
                    result=result,
                    seen=grid[name],
                    recorded="attended" if result == "contradicts" else grid[name],
                )
            )
        self.sheet = self.act(
            TranscribeDocument(title="Check sheet T-07", revision="rev 4", page="page 2"),
            {"text": "Last patrol 02:10, next due 04:10; 04:10 blank."},
        )
        asked = self.act(
            RequestEvidence(
                what="Permission to run T-07 unattended",
                asked_role="area manager",
                seen_when_asked="nothing at the machine",
            )
        )
        self.act(
            ReceiveEvidence(
                request=asked,
                what="Permission U-12, signed",
                changed="dated the day after it was asked for",
                sha256=sha256(b"permission").hexdigest(),
            )
        )
        self.act(RequestEvidence(what="Load list of the truck of 30 Nov", asked_role="shipping"))
        kept = self.act(
            PromiseStep(
                what="See the next emptying of the catcher", place="T-07", window="catcher full"
            )
        )
        self.act(SettlePromise(promise=kept, outcome="done"))
        missed = self.act(
            PromiseStep(
                what="Watch a restart at night", with_role="night leader", place="Turning B"
            )
        )
        self.act(SettlePromise(promise=missed, outcome="overtaken", note="A set-up crash."))

    def follow_trails(self):
        self.at(2026, 12, 1, 14, 0)
        self.gaps = self.trail(
            "Checks are missed where machines run alone.",
            "The checks were made and written on another sheet.",
            [
                (self.cited("check-interval-exceeded"), "for", True),
                (Cited("document", id=self.sheet), "for", False),
                (Cited("statement", id=self.alarm), "neutral", False),
                (Cited("statement", id=self.quiet), "for", False),
                (Cited("observation", id=self.catcher), "for", False),
            ],
            "major",
        )
        self.close(
            self.gaps, "supported", "Unattended machines pass their check interval far more often."
        )
        self.shipped = self.trail(
            "Suspect product left without a decision.",
            "A decision was taken and not written down.",
            [(self.cited("suspect-shipped"), "for", True)],
            "major",
        )
        self.close(self.shipped, "supported", "No decision could be shown for the lots named.")
        first = self.trail(
            "First-off checks are skipped after a change of tool.",
            "They are made by the setter and kept with the set-up.",
            [
                (self.cited("first-off-missing"), "against", True),
                (Cited("observation", id=self.catcher), "against", False),
            ],
            "minor",
        )
        self.close(
            first, "refuted", "Every start that was looked at has its first-off, also at night."
        )
        night = self.trail(
            "Restarts at night go unverified.", "The night leader verifies them on his round.", []
        )
        self.act(
            CloseTrail(
                trail=night,
                verdict="undetermined",
                conclusion="Not seen.",
                limitation="The night round was dropped; records alone do not settle it.",
            )
        )
        parked = self.trail(
            "Overtime hides a shortage of setters.", "A one-off order explains it.", []
        )
        self.act(
            PutTrail(
                trail=parked,
                state="parked",
                reason="The planner has the hours on Thursday.",
                return_at="2026-12-03T09:00:00Z",
            )
        )
        self.trail("Two part numbers share a washing basket.", "Baskets carry a card.", [])

    def trail(self, proposition, rival, evidence, grade="minor"):
        made = self.act(OpenTrail(proposition=proposition, rival=rival, highest_grade=grade))
        for cited, bears, by_audited in evidence:
            self.act(
                LinkEvidence(trail=made, cited=cited, bears=bears, by_audited_function=by_audited)
            )
        return made

    def close(self, trail, verdict, conclusion):
        self.act(
            CloseTrail(
                trail=trail,
                verdict=verdict,
                conclusion=conclusion,
                conditions=tuple(
                    ConditionBody(key, met=True, said="looked at") for key in CONDITIONS
                ),
                considered=tuple(link.id for link in self.desk.state(AUDIT).trails[trail].evidence),
            )
        )

    def find(self):
        self.at(2026, 12, 2, 12, 0)
        one = self.act(
            DraftFinding(
                trail=self.gaps,
                requirement=Requirement(
                    standard="IATF 16949",
                    clause=MEMORY_CLAUSE,
                    document="Control plan CP-114",
                    revision="7",
                    paraphrase="Patrol checks at the interval planned, in running time.",
                ),
                process="bar-fed turning",
                place="Turning A and B",
                statement=(
                    "The patrol checks of control plan CP-114 revision 7 were not made within "
                    "their interval of running time."
                ),
                facts=(
                    self.fact("check-interval-exceeded", "Gaps between checks beyond their limit"),
                    Fact("The check due at 04:10 on T-07 was blank at 06:20", 1, 1, "1 Dec 2026",
                         "targeted: seen on the floor"),
                ),
                extent="All machines that run unattended; attended machines an exception.",
                consequence="None found up to shipment of week 47; later weeks are finding 2.",
                rival_excluded="No second sheet was found at any of the machines visited.",
            )
        )  # fmt: skip
        self.grade(one, "minor", "Control otherwise works; limited to unattended running.")
        two = self.act(
            DraftFinding(
                trail=self.shipped,
                requirement=Requirement(
                    standard="ISO 9001",
                    clause="8.7",
                    document="WI-017 Suspect product",
                    revision="3",
                    paraphrase="Suspect product is held until somebody with authority decides.",
                    confirmed=True,
                ),
                process="bar-fed turning",
                place="Turning A, shipping",
                statement="Suspect lots were shipped without a recorded decision on them.",
                facts=(self.fact("suspect-shipped", "Suspect lots recorded as shipped"),),
                extent="Bounded by the 13 weeks of records.",
                consequence="Lots may be at the customer.",
                suspect_product=True,
                containment_asked_at="2026-12-01T13:40:00Z",
            )
        )
        self.act(
            StartRoute(
                finding=two,
                product="Lots named in the annex, about 11,200 pieces, suspect",
                informed_role="quality manager",
                deputy_role="shift quality lead",
                informed_at="2026-12-01T13:45:00Z",
            )
        )
        self.act(
            AcknowledgeRoute(
                finding=two,
                role="quality manager",
                decided="Stock blocked, customer informed by the plant on 2 Dec.",
            )
        )
        self.grade(two, "major", "Suspect product probably left.", "major")
        three = self.act(
            DraftFinding(
                requirement=Requirement(document="WI-030 Shift handover", revision="2"),
                place="Turning A",
                statement="Open matters were not named at shift handovers.",
                facts=(self.fact("handover-incomplete", "Handovers with an open matter unnamed"),),
                extent="All shifts.",
                consequence="None found, looked until 29 Nov 2026.",
            )
        )
        self.grade(three, "minor", "Rule exists and is partly followed.")
        dropped = self.act(
            DraftFinding(
                requirement=Requirement(document="WI-021 Records", revision="5"),
                statement="Checks were entered late.",
                facts=(self.fact("late-entry", "Checks entered later than 30 minutes"),),
            )
        )
        self.act(WithdrawFinding(finding=dropped, reason="The rule allows entry by shift end."))
        self.findings = (one, two, three)
        for finding in self.findings:
            self.act(AcknowledgeFacts(finding=finding, role="area manager", note="Facts agreed."))
            self.act(
                IssueFinding(
                    finding=finding,
                    addressed_to="area",
                    due={"containment": "2026-12-03", "response": "2026-12-16"},
                )
            )

    def grade(self, finding, grade, reason, proposed="minor"):
        self.act(
            GradeFinding(
                finding=finding,
                grade=grade,
                reason=reason,
                proposed=proposed,
                inputs={"rule": "not followed", "spread": "unattended machines"},
            )
        )

    def conclude(self):
        self.act(
            ConcludeQuestion(
                question="checked",
                answer="partly",
                reason="Attended machines are checked as planned, unattended ones are not.",
            )
        )
        self.act(
            DeclareLimitation(
                what="Weekend production was not seen",
                why="The audit ran from Tuesday to Wednesday",
                effect="What is said of weekends rests on records.",
            )
        )

    def follow_up(self):
        self.at(2027, 1, 25, 9, 0)
        one = self.findings[0]
        self.act(
            RespondToFinding(
                finding=one,
                containment="All stock of weeks 47 and 48 sorted by 4 Dec 2026, 18:00.",
                quantities="11,200 pieces sorted, 0 out of limits",
                correction="Checks due were made up on all machines on 2 Dec.",
                cause_occurrence="The watcher's round was planned in clock time.",
                cause_detection="The sheet shows no running time.",
                cause_system="The permission to run alone names no watcher for checks.",
                action="Round planned by the running clock; permission names the watcher.",
                owner_role="area manager turning",
                due="2026-12-20",
                implemented_on="2026-12-18",
                similar_examined="Turning B, same rule, same gap; milling has no unattended hours.",
                documents_changed="CP-114 rev 8, WI-012 rev 4",
            )
        )
        self.act(JudgeResponse(finding=one, verdict="accepted", reason="Cause and rule fit."))
        self.act(TakeInRecords(freeze=LATER, period="4 to 22 Jan 2027", purpose="verification"))
        self.act(
            VerifyFinding(
                finding=one,
                slug="check-interval-exceeded",
                before_freeze=self.freeze,
                after_freeze=LATER,
                exposure="assessed gaps",
                before_x=self.by_slug["check-interval-exceeded"].counts.exceptions,
                before_exposure=float(self.by_slug["check-interval-exceeded"].counts.assessed),
                after_x=4,
                after_exposure=3900.0,
                verdict="effective",
                text="The rate fell to a fourteenth; chance alone would do so in under 0.0001.",
            )
        )


def write_all(desk, outcomes, freeze=FREEZE):
    """The whole audit; gives the writer, which knows the ids."""
    writer = Writer(desk, outcomes, freeze)
    for part in (
        writer.prepare,
        writer.plan,
        writer.hear,
        writer.see,
        writer.follow_trails,
        writer.find,
        writer.conclude,
        writer.follow_up,
    ):
        part()
    return writer

"""The practice audit of October 2026: over, answered, followed up with the records since."""

from witnessmark.audit.actions.answer_statement import AnswerStatement
from witnessmark.audit.actions.close_audit import CloseAudit
from witnessmark.audit.actions.close_finding import CloseFinding
from witnessmark.audit.actions.close_trail import CloseTrail
from witnessmark.audit.actions.conclude_question import ConcludeQuestion
from witnessmark.audit.actions.declare_limitation import DeclareLimitation
from witnessmark.audit.actions.draft_finding import DraftFinding
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.judge_response import JudgeResponse
from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.respond_to_finding import RespondToFinding
from witnessmark.audit.cited import Cited
from witnessmark.practice.audits.deciding import close, grade_and_issue, verify
from witnessmark.practice.audits.preparing import CONTROL_PLAN, HANDOVER_RULE, SETUP_RULE, prepare
from witnessmark.practice.audits.records import Records
from witnessmark.practice.audits.scribe import Scribe, instant

CLOSING_DAY = "2026-10-14"
CITED = ("first-off-missing", "check-interval-exceeded", "handover-one-sided")


def write_october(scribe: Scribe, before: Records, after: Records) -> None:
    """Writes the whole audit and its follow-up.

    Args:
        scribe: The lead auditor.
        before: Records up to the audit.
        after: Records of the weeks since the action.
    """
    prepare(scribe.at("2026-09-21 09:00"), "Bar turning, October", "2026-10-13", CLOSING_DAY)
    before.take_in(scribe.at("2026-10-12 10:20"), "audit")
    setups = _setups(scribe, before)
    nights = _nights(scribe, before)
    handovers = _handovers(scribe, before)
    scribe.at("2026-10-14 15:10")
    scribe.do(
        DeclareLimitation(
            what="The weekend shifts were not seen.",
            why="The audit ran from Tuesday to Wednesday.",
            effect="What is said of weekends rests on the records alone.",
        )
    )
    for question, answer, reason in (
        ("staffed", "partly", "By day as planned; nights in row T1-B without a check of the run."),
        ("setup", "partly", "Set-ups are released; first-off pieces of one were not measured."),
        ("checked", "partly", "Attended machines as planned, unattended nights not."),
        ("scheduled", "not determined", "Not examined in this audit."),
        ("corrected", "yes", "Red days of the weeks looked at had their action, but for two."),
        ("known", "yes", "Both leaders named their reds and what was done."),
    ):
        scribe.do(ConcludeQuestion(question=question, answer=answer, reason=reason))  # type: ignore[arg-type]  # words of ConcludeQuestion
    scribe.do(CloseAudit(closing_day=CLOSING_DAY))
    _follow_up(scribe, (setups, nights, handovers), before, after)


def _setups(scribe: Scribe, before: Records) -> str:
    scribe.at("2026-10-13 09:50")
    trail = scribe.do(
        OpenTrail(
            proposition="First-off pieces are not measured before a run is released.",
            rival="They are measured, and the entry is made later or on paper.",
            origin=before.cite("first-off-missing"),
            clauses=("A 8.5.1.3",),
            next_step="Look at the set-up book of T2-04 with the setter.",
        )
    )
    said = scribe.do(
        HearStatement(
            role="setter", place="row T2", shift="early", read_back="agreed", requirement="WI-014"
        ),
        words="That day the release was given on the old pieces; the new first-off came later.",
    )
    seen = scribe.do(
        MakeObservation(
            form="free",
            machine="T2-04",
            place="row T2",
            seen_at=instant("2026-10-13 10:05"),
            agreed_by="setter",
        ),
        note="Set-up book of 30 September, T2-04: released at 14:35, first-off column empty.",
    )
    scribe.lay(
        trail,
        [
            (before.cite("first-off-missing"), "for", "check system"),
            (Cited("statement", id=said), "for", ""),
        ],
    )
    scribe.lay(trail, [(Cited("observation", id=seen), "for", "")], outside=True)
    scribe.do(
        AnswerStatement(
            statement=said,
            how="records",
            result="agrees",
            cited=before.cite("first-off-missing"),
        )
    )
    close(
        scribe,
        trail,
        CloseTrail(
            trail=trail,
            verdict="supported",
            conclusion="On the set-ups named, first-off pieces were not measured before release.",
        ),
        {
            "two-kinds": "Records, the set-up book and the setter.",
            "rival-tested": "The set-up book was looked at: no later entry.",
            "promises-settled": "None were made.",
            "extent-known": "All set-ups of six weeks are in the records.",
            "auditee-heard": "Setter and team leader.",
        },
    )
    finding = scribe.do(
        DraftFinding(
            trail=trail,
            requirement=SETUP_RULE,
            process="Bar-fed turning",
            place="Rows T1 and T2",
            statement="First-off pieces of set-ups were not measured before the run was released.",
            facts=(
                before.fact("first-off-missing", "Set-up characteristics without their pieces."),
                before.row_fact("first-off-missing"),
            ),
            extent="One set-up of T2-04 with all its characteristics, one more on D1-03.",
            consequence="None found; the runs' later checks were good, looked until shipment.",
            rival_excluded="Neither the set-up book nor later entries hold the measurements.",
        )
    )
    grade_and_issue(
        scribe,
        finding,
        "minor",
        "One set-up in full and one characteristic of another, of all set-ups of six weeks; the "
        "later checks of both runs were good.",
        {"rule": "not followed", "product_left": "no", "special": "no", "plant_acted": "no"},
        CLOSING_DAY,
    )
    return finding


def _nights(scribe: Scribe, before: Records) -> str:
    scribe.at("2026-10-13 22:10")
    stratum = "attendance=uncovered"
    trail = scribe.do(
        OpenTrail(
            proposition="Unattended nights in row T1-B run longer between checks than planned.",
            rival="The neighbour checks them on the round and enters it on his own sheet.",
            origin=before.cite("check-interval-exceeded", stratum),
            clauses=("A 8.5.1.1",),
            next_step="Ask the night leader at the change of shift who makes the round.",
        )
    )
    said = scribe.do(
        HearStatement(
            role="operator, neighbouring row",
            place="row T1",
            shift="night",
            read_back="agreed",
        ),
        words="I only go over when a lamp is on. Measuring over there is not on my list.",
    )
    scribe.lay(
        trail,
        [
            (before.cite("check-interval-exceeded", stratum), "for", "check system"),
            (Cited("statement", id=said), "for", ""),
        ],
        outside=True,
    )
    scribe.do(
        AnswerStatement(
            statement=said,
            how="records",
            result="agrees",
            cited=before.cite("check-interval-exceeded", stratum),
        )
    )
    close(
        scribe,
        trail,
        CloseTrail(
            trail=trail,
            verdict="supported",
            conclusion="The longer intervals are those of unattended nights; nobody checks then.",
        ),
        {
            "two-kinds": "Records, and the operator of the neighbouring row.",
            "rival-tested": "The neighbour's sheet was looked at: no checks of this row.",
            "promises-settled": "None open.",
            "extent-known": "All intervals of six weeks are in the records.",
            "auditee-heard": "Night leader and team leader.",
        },
    )
    finding = scribe.do(
        DraftFinding(
            trail=trail,
            requirement=CONTROL_PLAN,
            process="Bar-fed turning",
            place="Row T1-B",
            statement="The interval between checks that the control plan states was exceeded on "
            "machines that ran without anybody.",
            facts=(
                before.fact("check-interval-exceeded", "Intervals of uncovered running.", stratum),
                before.fact(
                    "check-interval-exceeded",
                    "Intervals of attended running, for comparison.",
                    "attendance=attended",
                ),
                before.row_fact("check-interval-exceeded"),
            ),
            extent="T1-05 to T1-08, nights; no such interval while somebody attended, but one.",
            consequence="None found; the next check of each was good, looked until shipment.",
            rival_excluded="The neighbour's sheet holds no check of these machines.",
        )
    )
    grade_and_issue(
        scribe,
        finding,
        "minor",
        "Limited to four machines on some nights; the next check was good each time.",
        {"rule": "not followed", "product_left": "no", "special": "no", "plant_acted": "no"},
        CLOSING_DAY,
    )
    return finding


def _handovers(scribe: Scribe, before: Records) -> str:
    scribe.at("2026-10-14 13:50")
    trail = scribe.do(
        OpenTrail(
            proposition="Some shifts are handed over by one side only.",
            rival="Both leaders were there, and one signature was forgotten.",
            origin=before.cite("handover-one-sided"),
            clauses=("Q 8.5.1",),
            next_step="Be at the handover of D1 at 13:30 and compare with the log.",
        )
    )
    seen = scribe.do(
        MakeObservation(
            form="free",
            place="area D1",
            seen_at=instant("2026-10-14 13:22"),
            agreed_by="shift leader, late",
        ),
        note="The early leader wrote the log and left; the late leader read it at 13:36, alone.",
    )
    scribe.lay(trail, [(before.cite("handover-one-sided"), "for", "handover log")])
    scribe.lay(trail, [(Cited("observation", id=seen), "for", "")], outside=True)
    close(
        scribe,
        trail,
        CloseTrail(
            trail=trail,
            verdict="supported",
            conclusion="Some handovers are one-sided, in the log and at the one that was seen.",
        ),
        {
            "two-kinds": "The handover log, and the handover of 14 October.",
            "rival-tested": "At the one seen, the other leader was not there.",
            "promises-settled": "None were made.",
            "extent-known": "All handovers of six weeks are in the log.",
            "auditee-heard": "Both leaders.",
        },
    )
    finding = scribe.do(
        DraftFinding(
            trail=trail,
            requirement=HANDOVER_RULE,
            process="Bar-fed turning",
            place="Areas D1, W1 and F1",
            statement="Shifts were handed over without the leaders of both sides.",
            facts=(
                before.fact("handover-one-sided", "Handovers by one side only."),
                before.row_fact("handover-one-sided"),
            ),
            extent="All areas and shifts of six weeks; none in rows T1 and T2.",
            consequence="None found; open holds were named in the log each time.",
            rival_excluded="At the handover seen, the second leader came after the first had left.",
        )
    )
    grade_and_issue(
        scribe,
        finding,
        "minor",
        "Few of many, and what mattered was in the log.",
        {"rule": "not followed", "product_left": "no", "special": "no", "plant_acted": "no"},
        CLOSING_DAY,
    )
    return finding


def _follow_up(
    scribe: Scribe, findings: tuple[str, str, str], before: Records, after: Records
) -> None:
    setups, nights, handovers = findings
    scribe.at("2026-10-21 11:00")
    _respond(
        scribe,
        setups,
        RespondToFinding(
            finding=setups,
            containment="Parts of both runs still in the house were measured on 14 October.",
            quantities="1,260 pieces measured, none out of tolerance.",
            correction="The missing pieces were measured from the retained samples.",
            cause_occurrence="Release was possible in the set-up book without the values.",
            cause_detection="Nobody compared set-up book and check entries.",
            cause_system="WI-014 did not say that the values come before the signature.",
            action="Release in the check system only, which asks for the values first.",
            owner_role="head of turning",
            due="2026-10-16",
            implemented_on="2026-10-16",
            similar_examined="All lathes and the cross-drilling machines.",
            documents_changed="WI-014 rev 6; PFMEA turning, line 12.",
        ),
        "Cause and action fit the facts; similar machines were looked at.",
    )
    _respond(
        scribe,
        nights,
        RespondToFinding(
            finding=nights,
            containment="First and last pieces of the nights named were measured again.",
            quantities="96 pieces, none out of tolerance.",
            cause_occurrence="The round at night was nobody's task.",
            action="The leader of the night shift was told to see to the checks.",
            owner_role="leader, night shift",
            due="2026-10-16",
            implemented_on="2026-10-16",
            similar_examined="Row T2.",
        ),
        "Accepted for now; telling a person is a weak action, so its effect decides.",
    )
    _respond(
        scribe,
        handovers,
        RespondToFinding(
            finding=handovers,
            containment="The leaders went through what was open since the one-sided handovers.",
            quantities="No lot was concerned.",
            cause_occurrence="The shifts end and begin on the same minute.",
            cause_system="WI-005 named no overlap.",
            action="Ten minutes of overlap, paid; the log opens with both signatures only.",
            owner_role="head of turning",
            due="2026-10-16",
            implemented_on="2026-10-16",
            similar_examined="Turning; its leaders overlap already.",
            documents_changed="WI-005 rev 4.",
        ),
        "The action changes what made it happen.",
    )
    after.take_in(scribe.at("2026-11-23 08:30"), "verification", CITED)
    verify(scribe, setups, "first-off-missing", before, after)
    verify(scribe, nights, "check-interval-exceeded", before, after)
    verify(scribe, handovers, "handover-one-sided", before, after)
    scribe.do(
        CloseFinding(
            finding=handovers,
            reason="The overlap is in place, and the same test on the weeks since shows it.",
            watch_until="2027-02-19",
        )
    )


def _respond(scribe: Scribe, finding: str, response: RespondToFinding, accepted: str) -> None:
    scribe.do(response)
    scribe.do(JudgeResponse(finding=finding, verdict="accepted", reason=accepted))

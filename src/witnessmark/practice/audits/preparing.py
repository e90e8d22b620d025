"""What both practice audits begin with: opening, scope, criteria, team, rules of the site."""

from witnessmark.audit.actions.join_member import JoinMember
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.actions.set_criteria import CriterionBody, SetCriteria
from witnessmark.audit.actions.set_scope import SetScope
from witnessmark.audit.actions.set_site_rules import SetSiteRules
from witnessmark.audit.cited import Requirement
from witnessmark.practice.audits.scribe import Scribe
from witnessmark.practice.floor import AREAS, MACHINES

SECOND_AUDITOR = "second-auditor"
TEAM_LEADER = "team-leader"
CONTROL_PLAN = Requirement(
    standard="IATF 16949:2016",
    clause="8.5.1.1",
    document="Control plan CP-1078",
    revision="4",
    paraphrase="The checks of the control plan are made as often as it states, on every shift.",
)
UNATTENDED_RULE = Requirement(
    standard="ISO 9001:2015",
    clause="8.5.1",
    document="WI-009 Unattended running",
    revision="6",
    paraphrase="Machines run unattended only as far as their permission reaches.",
)
SETUP_RULE = Requirement(
    standard="IATF 16949:2016",
    clause="8.5.1.3",
    document="WI-014 Set-up and release",
    revision="5",
    paraphrase="The first-off pieces of a set-up are checked before the run is released.",
)
HANDOVER_RULE = Requirement(
    standard="ISO 9001:2015",
    clause="8.5.1",
    document="WI-005 Handover of a shift",
    revision="3",
    paraphrase="The leaders of both shifts hand over what is open, together.",
)
HOLD_RULE = Requirement(
    standard="IATF 16949:2016",
    clause="8.7.1.3",
    document="WI-017 Suspect product",
    revision="3",
    paraphrase="Suspect product is held in time and leaves only after a decision.",
)
DOCUMENTS = (
    CriterionBody("WI-005 Handover of a shift", "3", "2024-01-08", ("Q 8.5.1",)),
    CriterionBody("Control plan CP-1078", "4", "2025-03-03", ("A 8.5.1.1",)),
    CriterionBody("WI-009 Unattended running", "6", "2024-01-08", ("Q 8.5.1",)),
    CriterionBody("WI-014 Set-up and release", "5", "2024-01-08", ("A 8.5.1.3",)),
    CriterionBody("WI-017 Suspect product", "3", "2024-01-08", ("A 8.7.1.3",)),
    CriterionBody("WI-020 Daily board", "3", "2024-01-08", ("Q 9.1.3",)),
    CriterionBody("WI-021 Checks and entries", "5", "2024-01-08", ("A 9.1.1.1",)),
)
SHIFTS = ("early 05:30-13:30", "late 13:30-21:30", "night 21:30-05:30")


def turning_machines() -> tuple[str, ...]:
    """The bar-fed lathes of both rows."""
    return tuple(machine.id for machine in MACHINES if machine.id.startswith("T"))


def prepare(scribe: Scribe, title: str, first_day: str, last_day: str) -> None:
    """Opens an audit of the practice plant and states what it stands on.

    Args:
        scribe: Its lead auditor.
        title: Of the audit.
        first_day: Of the work on site, as 2026-10-13.
        last_day: Likewise.
    """
    scribe.do(
        OpenAudit(
            title=title,
            process="Bar-fed turning with unattended nights",
            site="Practice plant",
            zone="Europe/Berlin",
            starts_on=first_day,
            ends_on=last_day,
        )
    )
    scribe.do(
        SetScope(
            text="Bar-fed turning in rows T1 and T2 with the steps after it, from bar to final "
            "inspection: staffing, set-up and release, checks, unattended nights, handover, board.",
            not_in_scope="Design of the process, purchasing of bar, the laboratory's own methods.",
            areas=AREAS,
            shifts=SHIFTS,
            machines=turning_machines(),
            questions=(
                "Who is at which machine on which shift?",
                "Who makes the first and last checks of an unattended run?",
                "What crosses the handover?",
                "What happens after a red day?",
            ),
        )
    )
    scribe.do(SetCriteria(documents=DOCUMENTS))
    scribe.do(
        SetSiteRules(
            photos="ask-each-time",
            phones=True,
            danger_role="shift leader of the row",
            safety="Safety glasses and shoes; yellow lines are not crossed; no hands past a guard.",
        )
    )
    scribe.do(
        JoinMember(
            user=scribe.actor.user,
            role="lead-auditor",
            function="lead auditor, from the quality office of another plant",
            independence="Belongs to another plant and has set up nothing here.",
            competence="Process audits since 2016; turning, PFMEA, control plans, statistics.",
        )
    )
    scribe.do(
        JoinMember(
            user=SECOND_AUDITOR,
            role="auditor",
            function="process auditor, from the stamping shop",
            independence="Works in another hall and reports to another manager.",
            competence="Process audits since 2021; turning and measuring.",
        )
    )
    scribe.do(
        JoinMember(user=TEAM_LEADER, role="auditee", function="team leader, turning"),
    )

"""What stands on which page: the main part cut to a measure, the annex always whole.

The main part has eight pages at most. It is set in the fullest measure that fits; whatever a
measure cuts says how much is left out, and stands in full in the annex.
"""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import TypeVar

from witnessmark.report.audit_report.annex import annex_data, rest_in_full
from witnessmark.report.audit_report.print_picture import for_paper
from witnessmark.report.audit_report.sources import SHORT
from witnessmark.report.audit_report.typeset import has_boxes, typeset
from witnessmark.report.audit_report.values import (
    AuditReport,
    ConclusionSaid,
    FactSaid,
    FindingSaid,
    FollowUp,
    LimitationSaid,
    Met,
    RouteStep,
    TrailSaid,
)
from witnessmark.report.audit_report.wording import Wording, wording
from witnessmark.report.words import count, listed, plural

MOST_PAGES = 8
RUNNING = 90
"""Signs of a name that fit into the foot of a page."""
PartT = TypeVar("PartT")


@dataclass(frozen=True)
class Measure:
    """How much of each part the main part takes.

    Args:
        signs: Of the longest text.
        findings: Findings; those beyond stand in the annex.
        facts: Facts of a finding.
        items: Items of every other list.
        pictures: Whether pictures stand in the main part.
    """

    signs: int
    findings: int
    facts: int
    items: int
    pictures: bool


MEASURES = (
    Measure(1800, 20, 8, 24, pictures=True),
    Measure(800, 14, 5, 12, pictures=True),
    Measure(400, 10, 4, 6, pictures=False),
    Measure(180, 8, 3, 4, pictures=False),
    Measure(90, 6, 2, 2, pictures=False),
)
WHOLE = Measure(10**9, 10**9, 10**9, 10**9, pictures=True)


def report_pdf(report: AuditReport, made_at: datetime) -> bytes:
    """The report as PDF.

    Args:
        report: Its values.
        made_at: Time of the last entry of the journal; the PDF says it was made then.
    """
    return typeset(
        "report.typ", [page_data(report, measure) for measure in MEASURES], made_at, MOST_PAGES
    )


def page_data(report: AuditReport, measure: Measure) -> dict[str, object]:
    """What the template of the report is given."""
    laid = _Layout(report, measure)
    main, full = laid.main(), annex_data(report)
    data: dict[str, object] = {
        "words": wording(report.language).section("page"),
        "title": title_data(report, "page.title"),
        "main": main,
        "full": full | laid.cut_parts(),
        "cut": laid.is_cut,
    }
    return data | {"boxes": has_boxes(data)}


def title_data(report: AuditReport, document: str) -> dict[str, object]:
    """Title, running foot and draft mark of a document.

    Args:
        report: Values.
        document: Key of the phrase that names the document, given `title`.
    """
    say, title = wording(report.language), report.title
    labels = say.section("page")
    name = say(document, title=title.title or title.process or title.audit)
    return {
        "document": name,
        "running": running(name),
        "draft": report.draft,
        "language": report.language,
        "audit": title.audit,
        "head": title.head,
        "block": [
            [labels["process"], title.process],
            [labels["site"], title.site],
            [labels["dates"], title.dates],
            [labels["closed_on"], title.closed_on],
            [labels["made_at"], _made(report, say)],
            [labels["zone"], title.zone],
            [labels["tool"], title.tool_version],
        ],
    }


def running(name: str) -> str:
    """A name short enough for the foot of a page."""
    return name if len(name) <= RUNNING else f"{name[:RUNNING].rstrip()}\u2026"


def _made(report: AuditReport, say: Wording) -> str:
    entries = plural(report.title.entries, say("page.entry"), say("page.entries"))
    return say("page.made", at=report.title.made_at, entries=entries)


class _Layout:
    """The parts of a report in one measure."""

    def __init__(self, report: AuditReport, measure: Measure) -> None:
        self.report, self.measure = report, measure
        self.say: Wording = wording(report.language)
        self.shortened: set[str] = set()

    @property
    def is_cut(self) -> bool:
        """Whether anything was left out of the main part."""
        return bool(self.shortened)

    def main(self) -> dict[str, object]:
        """The main part."""
        report, most = self.report, self.measure
        more: dict[str, str] = {}

        def kept(name: str, items: Sequence[PartT], limit: int | None = None) -> Sequence[PartT]:
            shown = items[: most.items if limit is None else limit]
            left = len(items) - len(shown)
            more[name] = self.say("text.more", n=count(left)) if left else ""
            if left:
                self.shortened.add(name)
            return shown

        parts: dict[str, object] = {
            "result": report.result,
            "suspect": [
                {
                    "number": one.number,
                    "consequence": self.text("findings", one.consequence),
                    "containment_asked_at": one.containment_asked_at,
                    "steps": [self.step(step) for step in kept("suspect", one.steps)],
                }
                for one in report.suspect
            ],
            "conclusions": [self.conclusion(one) for one in report.conclusions],
            "findings": [
                self.finding(one) for one in kept("findings", report.findings, most.findings)
            ],
            "pictures": self.pictures() if most.pictures else [],
            "strengths": [
                self.text("strengths", one) for one in kept("strengths", report.strengths)
            ],
            "refuted": [self.refuted(one) for one in kept("refuted", report.refuted)],
            "limitations": [
                self.limitation(one) for one in kept("limitations", report.limitations)
            ],
            "follow_up": [self.follow_up(one) for one in kept("follow_up", report.follow_up)],
            "criteria": [
                {
                    "document": self.text("criteria", one.document),
                    "revision": one.revision,
                    "valid_on": one.valid_on,
                    "clauses_words": ", ".join(one.clauses),
                }
                for one in kept("criteria", report.criteria)
            ],
            **self.boundaries(),
        }
        if report.pictures and not most.pictures:
            self.shortened.add("pictures")
        return parts | {"more": more}

    def boundaries(self) -> dict[str, object]:
        """Scope, coverage, team, people, method, distribution."""
        report = self.report
        return {
            "scope": self.scope(),
            "clauses_withheld": any(one.clauses_withheld for one in report.criteria),
            "days": [asdict(one) for one in self.first("covered", report.covered.days)],
            "covered": self.covered(),
            "team": [
                {name: self.text("team", value) for name, value in asdict(one).items()}
                | {
                    "independence": self.text("team", one.independence)
                    or self.say("page.not_stated")
                }
                for one in self.first("team", report.team)
            ],
            "people": self.text(
                "people", listed(f"{one.role} ({one.statements})" for one in report.people)
            ),
            "extracts": [
                asdict(one)
                | {
                    "freeze_short": one.freeze[:SHORT],
                    "files_words": count(one.files) if one.files else "\u2013",
                    "rows_words": count(one.rows) if one.rows else "\u2013",
                }
                for one in self.first("method", report.method.extracts)
            ],
            "method": [self.text("method", note) for note in report.method.notes],
            "distribution": self.text("distribution", "; ".join(report.distribution)),
        }

    def cut_parts(self) -> dict[str, object]:
        """What the main part cut, in full; empty where it cut nothing."""
        cut, whole = self.shortened, _Layout(self.report, WHOLE)
        parts = whole.main() if cut else {}
        names = ("findings", "strengths", "limitations", "follow_up", "criteria", "pictures")
        said = {name: parts[name] if name in cut else [] for name in names}
        if cut & {"scope", "covered"}:
            said |= {"scope": parts["scope"], "covered": parts["covered"]}
        return {"scope": [], "covered": [], "rest": rest_in_full(self.report, cut)} | said

    def first(self, part: str, items: Sequence[PartT]) -> Sequence[PartT]:
        """The items that the measure takes."""
        if len(items) > self.measure.items:
            self.shortened.add(part)
        return items[: self.measure.items]

    def text(self, part: str, words: str) -> str:
        """A text, cut to the measure."""
        if len(words) <= self.measure.signs:
            return words
        self.shortened.add(part)
        return words[: self.measure.signs].rsplit(" ", 1)[0] + self.say("text.cut")

    def step(self, one: RouteStep) -> list[list[str]]:
        """A step of the route, label and text."""
        labels = self.say.section("page")
        told = ", ".join(
            part for part in (one.informed_role, one.deputy_role, one.informed_at) if part
        )
        heard = ", ".join(part for part in (one.acknowledged_role, one.acknowledged_at) if part)
        return [
            [labels["product"], self.text("findings", one.product)],
            [labels["informed"], told],
            [labels["route_acknowledged"], heard or labels["not_yet"]],
            [labels["decided"], self.text("findings", one.decided)],
        ]

    def conclusion(self, one: ConclusionSaid) -> dict[str, object]:
        """A row of the table of questions."""
        beside = [one.coverage]
        if one.judged:
            proposed = self.say.named("answer", one.proposed.replace(" ", "_"))
            beside.append(self.say("page.records_propose", answer=proposed))
        if one.findings:
            beside.append(self.say("page.see", numbers=listed(map(str, one.findings))))
        return {
            "text": one.text,
            "answer_words": self.say.named("answer", one.answer.replace(" ", "_")),
            "judged": one.judged,
            "reason": self.text("conclusions", one.reason),
            "beside": " ".join(part for part in beside if part),
        }

    def finding(self, one: FindingSaid) -> dict[str, object]:
        """A finding as the report prints it."""
        facts, say = one.facts[: self.measure.facts], self.say
        left = len(one.facts) - len(facts)
        if left:
            self.shortened.add("findings")
        requirement = one.requirement
        parts = (requirement.document, requirement.clause, requirement.words, requirement.note)
        grade = say.named("grade", one.grade or "not_graded")
        return {
            "number": one.number,
            "grade_words": grade,
            "suspect": one.suspect,
            "state_words": "" if one.state == "issued" else say.named("finding_state", one.state),
            "statement": self.text("findings", one.statement),
            "facts": [self.fact(fact) for fact in facts],
            "more_facts": say("text.more", n=left) if left else "",
            "requirement_words": self.text("findings", " ".join(map(_ended, filter(None, parts)))),
            "extent": self.text("findings", one.extent),
            "consequence": self.text("findings", one.consequence),
            "rival_excluded": self.text("findings", one.rival_excluded),
            "grade_reason": self.text("findings", one.grade_reason),
            "acknowledged_words": self.text(
                "findings", "; ".join(p for p in (one.acknowledged, one.acknowledged_note) if p)
            ),
            "due_words": "; ".join(f"{step} {on}" for step, on in one.due),
        }

    def fact(self, one: FactSaid) -> dict[str, object]:
        """A fact, its texts cut to the measure."""
        return {name: self.text("findings", str(value)) for name, value in asdict(one).items()}

    def pictures(self) -> list[dict[str, object]]:
        """The pictures for paper."""
        return [
            asdict(replace(one, svg=for_paper(one.svg))) | {"caption": one.caption}
            for one in self.report.pictures
        ]

    def refuted(self, one: TrailSaid) -> dict[str, object]:
        """A refuted suspicion."""
        pieces = plural(len(one.evidence), self.say("page.piece"), self.say("page.pieces"))
        return {
            "number": one.number,
            "proposition": self.text("refuted", one.proposition),
            "conclusion": self.text("refuted", one.conclusion),
            "counted": pieces if one.evidence else "",
        }

    def limitation(self, one: LimitationSaid) -> dict[str, object]:
        """A limitation, its texts cut to the measure."""
        cut = {name: self.text("limitations", str(text)) for name, text in asdict(one).items()}
        return {name: _ended(text) for name, text in cut.items()}

    def follow_up(self, one: FollowUp) -> dict[str, object]:
        """What became of a finding."""
        return {
            "number": one.number,
            "grade_words": self.say.named("grade", one.grade or "not_graded"),
            "state_words": self.say.named("finding_state", one.state),
            "statement": self.text("follow_up", one.statement),
            "said": [self.text("follow_up", line) for line in one.said[: self.measure.items]],
        }

    def scope(self) -> list[list[str]]:
        """The scope, label and text."""
        labels, scope = self.say.section("page"), self.report.scope
        rows = (
            ("boundaries", scope.text),
            ("not_in_scope", scope.not_in_scope),
            ("areas", ", ".join(scope.areas)),
            ("shifts", ", ".join(scope.shifts)),
            ("machines", ", ".join(scope.machines)),
        )
        return [[labels[name], self.text("scope", words)] for name, words in rows]

    def covered(self) -> list[list[str]]:
        """What was met, label and text."""
        labels, covered = self.say.section("page"), self.report.covered
        rows = (
            ("shifts", self.met(covered.shifts)),
            ("handovers", listed(covered.handovers) or self.say("page.not_met")),
            ("areas", self.met(covered.areas)),
            ("machines", self.met_machines(covered.machines)),
        )
        return [[labels[name], self.text("covered", words)] for name, words in rows]

    def met(self, items: Iterable[Met]) -> str:
        """Each with what it was met by."""
        not_met = self.say("page.not_met")
        return "; ".join(f"{one.name}: {one.by or not_met}" for one in items)

    def met_machines(self, items: Sequence[Met]) -> str:
        """How many machines of the scope were observed, and which."""
        if not items:
            return ""
        seen = [one.name for one in items if one.by]
        return self.say("page.machines_seen", x=len(seen), n=len(items), names=", ".join(seen))


def _ended(text: str) -> str:
    """A sentence with its full stop."""
    return text if not text or text[-1] in ".!?\u2026)" else f"{text}."

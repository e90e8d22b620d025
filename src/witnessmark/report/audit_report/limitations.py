"""Everything that was not examined or not established, so that silence means nothing.

Declared limitations come first; then what the journal itself shows to be open; then what the
records cannot say. A limitation is no mark against anyone.
"""

from collections.abc import Iterator, Sequence

from witnessmark.audit.items import Statement, Trail
from witnessmark.report.audit_report.covered import covered_said
from witnessmark.report.audit_report.sources import Sources
from witnessmark.report.audit_report.values import LimitationSaid, Met
from witnessmark.report.gather.results import lacking
from witnessmark.report.words import listed, plural

UNANSWERED = frozenset({"untested"})


def limitations_said(sources: Sources, of_records: Sequence[str]) -> tuple[LimitationSaid, ...]:
    """All limitations.

    Args:
        sources: The audit.
        of_records: What the records cannot say, from the freeze (see `records`).
    """
    return (
        *_declared(sources),
        *_trails(sources),
        *_coverage(sources),
        *_statements(sources),
        *_promises(sources),
        *_requests(sources),
        *_tests(sources),
        *_journal(sources),
        *(LimitationSaid(said, "", "") for said in of_records),
    )


def _declared(sources: Sources) -> Iterator[LimitationSaid]:
    for one in sources.state.limitations.values():
        yield LimitationSaid(one.what, one.why, one.effect)


def _trails(sources: Sources) -> Iterator[LimitationSaid]:
    say = sources.say
    for trail in sources.state.trails.values():
        if not trail.is_closed:
            state = say.named("trail", trail.state)
            yield LimitationSaid(
                say("limitations.open_trail", state=state, proposition=trail.proposition),
                trail.reason,
                "",
            )
        elif trail.state == "undetermined" or trail.limitation:
            yield LimitationSaid(_ended(sources, trail), trail.limitation, "")
        late = [link for link in trail.not_considered if sources.may_show(link.cited)]
        if late:
            yield LimitationSaid(
                say("limitations.late", n=len(late), proposition=trail.proposition), "", ""
            )


def _ended(sources: Sources, trail: Trail) -> str:
    state = sources.say.named("trail", trail.state)
    return sources.say("limitations.trail", state=state, proposition=trail.proposition)


def _coverage(sources: Sources) -> Iterator[LimitationSaid]:
    covered = covered_said(sources)
    for key, met in (
        ("shifts", covered.shifts),
        ("areas", covered.areas),
        ("machines", covered.machines),
    ):
        if missed := _missed(met):
            said = sources.say(
                f"limitations.{key}", n=len(missed), all=len(met), names=listed(missed)
            )
            yield LimitationSaid(said, "", sources.say(f"limitations.{key}_effect"))
    if covered.handovers_missing:
        names = listed(covered.handovers_missing)
        yield LimitationSaid(sources.say("limitations.handovers_missing", names=names), "", "")
    elif not covered.handovers:
        yield LimitationSaid(sources.say("limitations.handovers"), "", "")


def _missed(met: Sequence[Met]) -> list[str]:
    return [one.name for one in met if not one.by]


def _statements(sources: Sources) -> Iterator[LimitationSaid]:
    total = len(sources.statements)
    untested = [one for one in sources.statements if is_untested(one)]
    if untested:
        reasons = dict.fromkeys(
            answer.reason for one in untested for answer in one.answers if answer.reason
        )
        said = sources.say("limitations.untested", x=len(untested), n=total)
        yield LimitationSaid(said, "; ".join(reasons), sources.say("limitations.untested_effect"))


def is_untested(statement: Statement) -> bool:
    """Whether nothing that was looked at answers a statement."""
    return all(answer.how in UNANSWERED for answer in statement.answers)


def _promises(sources: Sources) -> Iterator[LimitationSaid]:
    for promise in sources.state.promises.values():
        if promise.outcome is None:
            yield LimitationSaid(sources.say("limitations.promise_open", what=promise.what), "", "")
        elif promise.outcome != "done":
            outcome = sources.say.named("promise", promise.outcome)
            said = sources.say("limitations.promise", what=promise.what, outcome=outcome)
            yield LimitationSaid(said, promise.settled_note, "")


def _requests(sources: Sources) -> Iterator[LimitationSaid]:
    for request in sources.state.requests.values():
        if not request.receipts:
            yield LimitationSaid(sources.say("limitations.request", what=request.what), "", "")


def _tests(sources: Sources) -> Iterator[LimitationSaid]:
    say = sources.say
    if not sources.freeze:
        yield LimitationSaid(say("limitations.no_records"), "", "")
        return
    outcomes = sources.outcomes.get(sources.freeze, ())
    if not outcomes:
        yield LimitationSaid(say("limitations.no_outcomes"), "", "")
    for one in outcomes:
        if one.status == "failed":
            yield LimitationSaid(say("limitations.failed", slug=one.slug), one.message, "")
    waiting: dict[str, list[str]] = {}
    for one in outcomes:
        if one.status == "not-assessable":
            waiting.setdefault(lacking(one), []).append(one.slug)
    for why, slugs in waiting.items():
        said = say("limitations.not_assessable", tests=plural(len(slugs), "record test"))
        yield LimitationSaid(f"{said}: {listed(slugs)}", why, "")


def _journal(sources: Sources) -> Iterator[LimitationSaid]:
    state, say = sources.state, sources.say
    if state.destroyed:
        yield LimitationSaid(say("limitations.destroyed", n=len(state.destroyed)), "", "")
    if state.unknown:
        kinds = listed(sorted(state.unknown))
        yield LimitationSaid(say("limitations.unknown", kinds=kinds), "", "")
    if state.orphans:
        yield LimitationSaid(say("limitations.orphans", n=len(state.orphans)), "", "")

"""Suspect product that may have left: which lots, and whom the plant's own documents name to tell.

It stands first in the paper. The auditor informs, the plant decides; "suspect" is never
"defective", and what could not be followed is said beside what could.
"""

from zoneinfo import ZoneInfo

from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.report.gather.persons import sentence_of
from witnessmark.report.gather.reader import Reader
from witnessmark.report.gather.results import not_assessable
from witnessmark.report.model import Escape, Escapes
from witnessmark.report.words import count, listed, plural

SLUG = "suspect-shipped"
SHOWN = 6
ROUTE = """
select distinct reaction_owner_role, reaction_ref
from control_plan_lines
where reaction_owner_role is not null or reaction_ref is not null
order by reaction_owner_role, reaction_ref
"""
WHOSE = (
    "The auditor informs, the plant decides, and notice to customers is the plant's. "
    "Note who was told, and when it was acknowledged."
)


def escapes_of(reader: Reader, test: RecordTest | None, outcome: Outcome | None) -> Escapes:
    """What the first page says of suspect product that left."""
    if test is None or outcome is None:
        return Escapes(f"Not looked at: {SLUG} was not run.", (), 0, "")
    exceptions = outcome.counts.exceptions
    lots = sorted(
        (_lot(test, row, reader.store.zone) for row in outcome.rows),
        key=lambda lot: (lot.fragile, lot.lot_no),
    )
    route = _route(reader) if exceptions else ""
    return Escapes(_headline(outcome), tuple(lots[:SHOWN]), exceptions, route)


def _headline(outcome: Outcome) -> str:
    counts = outcome.counts
    if outcome.status == "failed":
        return "Not determined: the test for it did not run to an end."
    if outcome.status == "not-assessable":
        return f"Not determined: {not_assessable(outcome)}."
    if outcome.status == "nothing-to-test":
        return "The records hold no suspect window with a lot in it, so there was none to follow."
    unknown = counts.population - counts.assessed
    doubt = f" {plural(unknown, 'lot')} could not be followed." if unknown else ""
    if not counts.exceptions:
        return f"None of {plural(counts.assessed, 'suspect lot')} left before a decision.{doubt}"
    certain = counts.exceptions - counts.fragile_exceptions
    said = (
        f"{plural(counts.exceptions, 'time')} a suspect lot is recorded as shipped without a "
        f"decision on it, of {plural(counts.assessed, 'suspect lot')} that could be followed"
    )
    if counts.fragile_exceptions:
        said += f"; {count(certain)} of them whatever the clocks"
    return (
        f"{said}. It may have been in order: a decision made and not recorded looks alike.{doubt}"
    )


def _lot(test: RecordTest, row: object, zone: ZoneInfo) -> Escape:
    values = dict(row)  # type: ignore[call-overload]  # a row is a mapping
    _, sentence = sentence_of(test, values, zone)
    return Escape(str(values.get("lot_no", values["ref"])), sentence, bool(values["is_fragile"]))


def _route(reader: Reader) -> str:
    rows = reader.rows("The route for suspect product", ROUTE)
    roles = sorted({str(row["reaction_owner_role"]) for row in rows if row["reaction_owner_role"]})
    refs = sorted({str(row["reaction_ref"]) for row in rows if row["reaction_ref"]})
    where = f" (see {listed(refs[:3])}{' and others' if len(refs) > 3 else ''})" if refs else ""  # noqa: PLR2004 - three are enough to start from
    if not roles:
        return (
            f"The records name no role that must be told{where}: ask for it now, with its deputy, "
            f"and tell management within the hour. {WHOSE}"
        )
    return (
        f"The plant's own control plan names {listed(f'“{role}”' for role in roles)} as owner of "
        f"the reaction{where}: tell that role, or its deputy, within the hour. {WHOSE}"
    )

"""The letter that asks for records: exactly the extracts that the chosen record tests need.

What a table and its columns mean comes from their declarations, what each unlocks from the tests;
nothing is written twice. As plain values, and as text. This module knows no audit and no clock.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from witnessmark.record_tests.persons import holds_person
from witnessmark.record_tests.record_test import BASES, Basis, RecordTest
from witnessmark.records.table import Column, Table
from witnessmark.records.tables import TABLES

WEEKS = 13
"""Usual period: 8 to 13 weeks; common practice, no source."""
NO_TOTAL = {"cumulative", "sample_n", "qty_limit"}
"""Whole numbers of pieces whose sum over all rows means nothing."""
ACCEPTABLE = (
    "Every row of the period, unfiltered: no machine, shift, person or result left out.",
    "Rows that were deleted, cancelled or corrected stand in it and are marked as such.",
    "All versions of what has versions (plans, limits, rules, statuses), not the last one only.",
    "Straight from the system that holds the record, not retyped, sorted out or summed up.",
    "As a table: CSV or a workbook; no picture and no printout of one.",
    "Both times where there are two: when it happened and when it was entered.",
    "With its time zone, the name of the system, any filter used, and the moment of export.",
    "With its control totals, read in the system itself and not from the exported file.",
    "An empty field stays empty: no zero, no dash, no value filled in.",
)
"""What an acceptable extract is; common practice, no source."""


@dataclass(frozen=True)
class ColumnAsked:
    """One column in plain words.

    Args:
        name: The tool's own name; the plant's may differ.
        about: What it says, and what empty means.
        unit: Its unit.
        needed: Whether a chosen test is nothing without it; the others are asked for if recorded.
        is_person: Whether it names a person: a place or pseudonym is asked for, never a name.
    """

    name: str
    about: str
    unit: str
    needed: bool
    is_person: bool


@dataclass(frozen=True)
class Unlocked:
    """A record test that an extract serves."""

    slug: str
    finding: str
    needed: bool


@dataclass(frozen=True)
class Extract:
    """One extract that is asked for.

    Args:
        table: The tool's own name of it.
        about: What a row is, and where plants usually keep it.
        needed: Whether a chosen test is nothing without it.
        instead: Tables of which one serves as well.
        columns: The needed ones first.
        totals: Control totals to give with it.
        unlocks: The tests it serves.
    """

    table: str
    about: str
    needed: bool
    instead: tuple[str, ...]
    columns: tuple[ColumnAsked, ...]
    totals: tuple[str, ...]
    unlocks: tuple[Unlocked, ...]

    @property
    def title(self) -> str:
        """Its name in plain words."""
        return plain(self.table).capitalize()


@dataclass(frozen=True)
class Letter:
    """A request for records.

    Args:
        process: The process that is audited.
        period_from: First day, in the plant's zone.
        period_to: Last day, included.
        zone: The plant's time zone.
        extracts: What serves most tests first.
        acceptable: What an acceptable extract is.
        left_out: Tests that the plant's stated basis for persons does not allow.
    """

    process: str
    period_from: date
    period_to: date
    zone: str
    extracts: tuple[Extract, ...]
    acceptable: tuple[str, ...]
    left_out: tuple[str, ...]


@dataclass
class _Wanted:
    """What the tests say of one table, gathered."""

    columns: set[str]
    instead: set[str]
    unlocks: dict[str, Unlocked]


def request_letter(
    tests: Iterable[RecordTest],
    until: date,
    process: str = "",
    zone: str = "UTC",
    weeks: int = WEEKS,
    basis: Basis = "places",
) -> Letter:
    """The letter for the chosen tests.

    Args:
        tests: The record tests that are to be run.
        until: Last day of the period, in the plant's zone.
        process: The process that is audited.
        zone: The plant's time zone.
        weeks: Length of the period.
        basis: Step of the person basis that the plant has recorded; tests beyond it are left out.
    """
    chosen = list(tests)
    allowed = [test for test in chosen if BASES.index(test.basis) <= BASES.index(basis)]
    wanted = _gather(allowed)
    extracts = [_extract(TABLES[name], found) for name, found in wanted.items()]
    extracts.sort(key=_by_gain)
    return Letter(
        process=process,
        period_from=until - timedelta(weeks=weeks) + timedelta(days=1),
        period_to=until,
        zone=zone,
        extracts=tuple(extracts),
        acceptable=ACCEPTABLE,
        left_out=tuple(test.slug for test in chosen if test not in allowed),
    )


def as_text(letter: Letter) -> str:
    """The letter as text, ready to be sent; roles and names are for the sender to add."""
    of_process = f" for the audit of {letter.process}" if letter.process else ""
    lines = [
        f"Request for records{of_process}",
        "",
        (
            f"Period: {letter.period_from} to {letter.period_to}, both days included, "
            f"times in {letter.zone}."
        ),
        "",
        "An acceptable extract",
        *(f"- {line}" for line in letter.acceptable),
        "",
        "People: a place (operator 2 of cell B) or a pseudonym, never a name.",
    ]
    for number, extract in enumerate(letter.extracts, start=1):
        lines += ["", *_extract_lines(number, extract)]
    if letter.left_out:
        lines += [
            "",
            (
                "Not asked for, since it would need persons by pseudonym, and the plant has not "
                f"recorded on what basis: {', '.join(letter.left_out)}."
            ),
        ]
    return "\n".join(lines) + "\n"


def plain(name: str) -> str:
    """A name of a table or column in plain words."""
    return name.replace("_", " ")


def _extract_lines(number: int, extract: Extract) -> list[str]:
    lines = [f"{number}. {extract.title} ({'needed' if extract.needed else 'useful'})"]
    lines.append(extract.about)
    if extract.instead:
        others = ", ".join(plain(name) for name in extract.instead)
        lines.append(f"Instead of it, one of these serves as well: {others}.")
    for column in extract.columns:
        unit = f" [{column.unit}]" if column.unit else ""
        standing = "" if column.needed else " (if recorded)"
        person = " As a place or pseudonym." if column.is_person else ""
        lines.append(f"- {plain(column.name)}{unit}{standing}: {column.about}{person}")
    lines.append(f"Control totals: {'; '.join(extract.totals)}.")
    needed = [item.slug for item in extract.unlocks if item.needed]
    helped = [item.slug for item in extract.unlocks if not item.needed]
    if needed:
        lines.append(f"Without it cannot be tested: {', '.join(needed)}.")
    if helped:
        lines.append(f"Makes more complete: {', '.join(helped)}.")
    return lines


def _gather(tests: Sequence[RecordTest]) -> dict[str, _Wanted]:
    wanted: dict[str, _Wanted] = defaultdict(lambda: _Wanted(set(), set(), {}))
    for test in tests:
        for need in test.needs:
            _take(wanted, test, need, needed=True)
        for use in test.uses:
            _take(wanted, test, use, needed=False)
    return dict(wanted)


def _take(wanted: dict[str, _Wanted], test: RecordTest, need: str, needed: bool) -> None:
    """One need, `runs|machine_states` or `checks.done_at`, into what is known of its tables."""
    options = [option.strip().partition(".") for option in need.split("|")]
    tables = [table for table, _, _ in options if table in TABLES]
    for table, _, column in options:
        if table not in TABLES:
            continue
        own = wanted[table]
        if column and needed:
            own.columns.add(column)
        own.instead |= {other for other in tables if other != table}
        known = own.unlocks.get(test.slug)
        own.unlocks[test.slug] = Unlocked(
            test.slug, test.finding, needed or (known is not None and known.needed)
        )


def _extract(table: Table, wanted: _Wanted) -> Extract:
    columns = [_column(column, wanted.columns) for column in table.columns]
    return Extract(
        table=table.name,
        about=table.about,
        needed=any(item.needed for item in wanted.unlocks.values()),
        instead=tuple(sorted(wanted.instead)),
        columns=tuple(sorted(columns, key=lambda column: not column.needed)),
        totals=_totals(table, wanted.columns),
        unlocks=tuple(sorted(wanted.unlocks.values(), key=lambda u: (not u.needed, u.slug))),
    )


def _column(column: Column, named: set[str]) -> ColumnAsked:
    needed = column.name in named or not column.optional
    return ColumnAsked(column.name, column.about, column.unit, needed, holds_person(column.name))


def _totals(table: Table, named: set[str]) -> tuple[str, ...]:
    """What can be read in the source system and compared after loading."""
    totals = ["number of rows, deleted and cancelled ones included"]
    totals += [
        f"sum of {plain(column.name)} [{column.unit}]"
        for column in table.columns
        if column.type == "int" and column.unit == "pieces" and column.name not in NO_TOTAL
    ]
    dated = [column for column in table.columns if column.type in {"instant", "date"}]
    dated.sort(key=lambda column: (column.name not in named, column.optional))
    if dated:
        totals.append(f"earliest and latest {plain(dated[0].name)}")
    return tuple(totals)


def _by_gain(extract: Extract) -> tuple[bool, int, int, str]:
    """What most tests are nothing without comes first."""
    needed = sum(item.needed for item in extract.unlocks)
    return (not extract.needed, -needed, -len(extract.unlocks), extract.table)

"""Case files: a record test's examples in Markdown, readable and writable by an auditor.

What stands before the first `##` holds for every case; a case's own table replaces the shared
one. Unknown words are errors: a case that was misspelt may not pass by being overlooked.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from witnessmark.criteria.keys import KEYS
from witnessmark.criteria.load import Criteria, Criterion, default_criteria, read_value
from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.record_tests.engine import Settings, run_tests
from witnessmark.record_tests.outcome import Outcome
from witnessmark.record_tests.record_test import RecordTest, catalogue
from witnessmark.records.memory import Shelf, TextTable
from witnessmark.records.zones import zone_of
from witnessmark.timeline.build import Period, Timeline

KEYWORD = re.compile(r"^(zone|criteria|period|boundary|expect):\s*(.*)$")
OTHER_KEYWORD = re.compile(r"^([a-z_]+):(\s|$)")
NAME = re.compile(r"^`?([a-z][a-z_]*)`?$")
RULE = re.compile(r"^\|[\s:|-]+\|?$")
NUMBERS = ("population", "not assessable", "not applicable")
REFS = ("exceptions", "fragile")
PLACE = "case"


@dataclass(frozen=True)
class Expected:
    """What a case states; a part it does not state is None.

    Args:
        numbers: population, not assessable, not applicable.
        refs: exceptions and fragile, as refs.
        counts: exceptions and fragile, as a number.
        status: Status of the outcome.
    """

    numbers: Mapping[str, int] = field(default_factory=dict)
    refs: Mapping[str, frozenset[str]] = field(default_factory=dict)
    counts: Mapping[str, int] = field(default_factory=dict)
    status: str | None = None


@dataclass(frozen=True)
class Case:
    """One example: tables, criteria, and what the test must say of them."""

    name: str
    line: int
    zone: str = ""
    period: tuple[str, str] | None = None
    criteria: Mapping[str, str] = field(default_factory=dict)
    tables: Mapping[str, TextTable] = field(default_factory=dict)
    expected: Expected | None = None


@dataclass(frozen=True)
class CaseFile:
    """A case file: the test it is about and its cases."""

    file: str
    slug: str
    cases: tuple[Case, ...]
    no_boundary_because: str = ""


@dataclass(frozen=True)
class Verdict:
    """Whether a case holds; each difference is a sentence."""

    case: Case
    outcome: Outcome
    differences: tuple[str, ...]


def read_case_file(path: Path) -> CaseFile:
    """Reads a case file.

    Raises:
        UnusableInputError: Not UTF-8 text, or anything in it that is not understood; all at once.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (UnicodeDecodeError, OSError) as error:
        raise UnusableInputError.one(Where(path.name), f"cannot be read: {error}.") from error
    return parse_cases(text, path.name)


def parse_cases(text: str, file: str) -> CaseFile:
    """Parses the text of a case file; see `read_case_file`."""
    reader = _Reader(file)
    for number, line in enumerate(text.splitlines(), start=1):
        reader.take(number, line.strip())
    return reader.finish()


def run_case(test: RecordTest, case: Case, file: str, shelf: Shelf) -> Verdict:
    """Runs one case and compares.

    Args:
        test: The record test.
        case: The case.
        file: Name used in messages.
        shelf: Where tables that several cases share are typed once.

    Raises:
        UnusableInputError: Its tables, zone or criteria cannot be used.
    """
    where = Where(file, row=case.line)
    zone = zone_of(case.zone or "UTC", where)
    period = Period(*case.period) if case.period else Period()
    timeline = Timeline(shelf.store(case.tables, zone, file), _criteria(case, where), period)
    settings = Settings(basis="profiling", row_cap=10**6, with_fragile_refs=True)
    (outcome,) = run_tests([test], timeline, settings)
    return Verdict(case, outcome, tuple(_differences(case.expected or Expected(), outcome)))


def run_case_file(file: CaseFile) -> list[Verdict]:
    """Runs every case of a file.

    Raises:
        UnusableInputError: The test is unknown, or a case cannot be used.
    """
    if file.slug not in catalogue():
        raise UnusableInputError.one(
            Where(file.file, row=1),
            f'there is no record test "{file.slug}".',
            "the slug of a test after #",
        )
    test, shelf = catalogue()[file.slug], Shelf()
    try:
        return [run_case(test, case, file.file, shelf) for case in file.cases]
    finally:
        shelf.close()


def _criteria(case: Case, where: Where) -> Criteria:
    criteria = default_criteria()
    faults = []
    in_force = dict(criteria.in_force)
    for name, written in case.criteria.items():
        key = KEYS.get(name)
        value = read_value(key, written) if key is not None else None
        if key is None:
            faults.append(Fault(where, f'there is no criterion "{name}".'))
        elif value is None:
            faults.append(Fault(where, f'"{written}" does not fit {name}.', f"a {key.kind} value"))
        else:
            in_force[name] = Criterion(key, value, "the case", is_default=False)
    if faults:
        raise UnusableInputError(faults)
    return Criteria(in_force)


def _differences(expected: Expected, outcome: Outcome) -> list[str]:
    counts = outcome.counts
    found_numbers = {
        "population": counts.population,
        "not assessable": sum(counts.not_assessable.values()),
        "not applicable": sum(counts.not_applicable.values()),
    }
    found_refs = {
        "exceptions": frozenset(str(row["ref"]) for row in outcome.rows),
        "fragile": frozenset(outcome.fragile_refs),
    }
    found_counts = {
        "exceptions": outcome.rows_total,
        "fragile": counts.fragile_exceptions + counts.fragile_conforming,
    }
    said = [
        f"{name} {found_numbers[name]}, expected {wanted}"
        for name, wanted in expected.numbers.items()
        if found_numbers[name] != wanted
    ]
    said += [
        f"{name} {' '.join(sorted(found_refs[name])) or 'none'}, "
        f"expected {' '.join(sorted(wanted)) or 'none'}"
        for name, wanted in expected.refs.items()
        if found_refs[name] != wanted
    ]
    said += [
        f"{name} count {found_counts[name]}, expected {wanted}"
        for name, wanted in expected.counts.items()
        if found_counts[name] != wanted
    ]
    if expected.status is not None and outcome.status != expected.status:
        said.append(f"status {outcome.status}, expected {expected.status}")
    if outcome.status == "failed":
        said.append(f"the test failed: {outcome.message}")
    return said


def parse_expected(text: str) -> Expected:
    """What an `expect:` line states.

    Raises:
        ValueError: A part that is not understood; says which.
    """
    numbers: dict[str, int] = {}
    refs: dict[str, frozenset[str]] = {}
    counts: dict[str, int] = {}
    status = None
    for part in (piece.strip() for piece in text.split(",")):
        words = part.split()
        name = next((known for known in (*NUMBERS, *REFS, "status") if part.startswith(known)), "")
        rest = words[len(name.split()) :]
        if name in NUMBERS and len(rest) == 1 and rest[0].isdigit():
            numbers[name] = int(rest[0])
        elif name in REFS and rest[:1] == ["count"] and len(rest) == 2 and rest[1].isdigit():  # noqa: PLR2004  # the word and its number
            counts[name] = int(rest[1])
        elif name in REFS and rest:
            refs[name] = frozenset() if rest == ["none"] else frozenset(rest)
        elif name == "status" and len(rest) == 1:
            status = rest[0]
        else:
            raise ValueError(f'"{part}" is no expectation')
    return Expected(numbers, refs, counts, status)


class _Reader:
    """Line by line through a case file; collects all faults."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.slug = ""
        self.boundary = ""
        self.faults: list[Fault] = []
        self.shared = Case("", 1)
        self.case: Case | None = None
        self.cases: list[Case] = []
        self.pending: tuple[int, str] | None = None
        self.header: tuple[str, ...] | None = None
        self.rows: list[tuple[str, ...]] = []
        self.first_row = 0

    def take(self, number: int, line: str) -> None:
        if line.startswith("|"):
            self._table_line(number, line)
            return
        self._end_table()
        if line.startswith("## "):
            self._end_case()
            self.case = replace(self.shared, name=line[3:].strip(), line=number)
        elif line.startswith("# "):
            self.slug = line[2:].strip().strip("`")
        elif match := KEYWORD.match(line):
            self._keyword(number, match[1], match[2].strip())
        elif match := OTHER_KEYWORD.match(line):
            self._fault(number, f'"{match[1]}:" is no word of a case file.',
                        "zone, criteria, period, boundary or expect")  # fmt: skip
        elif match := NAME.match(line):
            self.pending = (number, match[1])
        elif line:
            self.pending = None

    def finish(self) -> CaseFile:
        self._end_table()
        self._end_case()
        if not self.slug:
            self._fault(1, "names no record test.", "a first line such as # gauge-overdue")
        if not self.cases:
            self._fault(1, "has no case.", "a heading ## and below it tables and expect:")
        if self.faults:
            raise UnusableInputError(self.faults)
        return CaseFile(self.file, self.slug, tuple(self.cases), self.boundary)

    def _fault(self, number: int, what: str, expected: str = "") -> None:
        self.faults.append(Fault(Where(self.file, row=number), what, expected))

    def _current(self) -> Case:
        return self.case if self.case is not None else self.shared

    def _keep(self, changed: Case) -> None:
        if self.case is not None:
            self.case = changed
        else:
            self.shared = changed

    def _keyword(self, number: int, word: str, text: str) -> None:
        current = self._current()
        if word == "zone":
            self._keep(replace(current, zone=text))
        elif word == "boundary":
            self.boundary = text
        elif word == "period":
            ends = [end.strip() for end in text.split(" to ")]
            if len(ends) == 2:  # noqa: PLR2004  # from and to
                self._keep(replace(current, period=(ends[0], ends[1])))
            else:
                self._fault(
                    number, f'"{text}" is no period.', "2026-03-01 00:00 to 2026-03-31 23:59 (UTC)"
                )
        elif word == "criteria":
            pairs = [pair.split("=") for pair in text.split(",") if pair.strip()]
            if any(len(pair) != 2 for pair in pairs):  # noqa: PLR2004  # name and value
                self._fault(number, f'"{text}" states no criteria.', "late_entry_min = 20")
                return
            stated = {name.strip(): value.strip() for name, value in pairs}
            self._keep(replace(current, criteria={**current.criteria, **stated}))
        else:
            self._expect(number, text)

    def _expect(self, number: int, text: str) -> None:
        if self.case is None:
            self._fault(number, "expect: stands before the first case.")
            return
        try:
            more = parse_expected(text)
        except ValueError as error:
            self._fault(number, f"{error}.", "population 1, not assessable 0, exceptions none")
            return
        old = self.case.expected or Expected()
        self.case = replace(
            self.case,
            expected=Expected(
                {**old.numbers, **more.numbers},
                {**old.refs, **more.refs},
                {**old.counts, **more.counts},
                more.status or old.status,
            ),
        )

    def _table_line(self, number: int, line: str) -> None:
        cells = tuple(cell.strip() for cell in line.strip("|").split("|"))
        if self.pending is None:
            self._fault(
                number, "a table stands here without its name.", "its name on the line above"
            )
            self.pending = (number, "")
        if self.header is None:
            self.header, self.first_row = cells, number + 2
        elif not RULE.match(line):
            self.rows.append(cells)

    def _end_table(self) -> None:
        if self.header is None:
            return
        name = self.pending[1] if self.pending else ""
        table = TextTable(self.header, tuple(self.rows), self.first_row)
        current = self._current()
        if name:
            self._keep(replace(current, tables={**current.tables, name: table}))
        self.pending, self.header, self.rows = None, None, []

    def _end_case(self) -> None:
        if self.case is None:
            return
        if self.case.expected is None:
            self._fault(
                self.case.line, f'the case "{self.case.name}" expects nothing.', "an expect: line"
            )
        self.cases.append(self.case)
        self.case = None

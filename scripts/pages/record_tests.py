"""One page per record test, and their list, from the catalogue and the case files."""

from pathlib import Path

from pages.markdown import fence, link, page, table
from pages.requirements import clause_text
from witnessmark.criteria.keys import KEYS, Key
from witnessmark.record_tests.record_test import FAMILIES, RecordTest, catalogue
from witnessmark.timeline.build import needed_for

ROOT = Path(__file__).resolve().parent.parent.parent
CASES = Path("tests/record_tests/cases")
CATALOGUE = "src/witnessmark/record_tests/catalogue/"

FAMILY_TITLES = {
    "staffing": "Staffing and attendance",
    "setup": "Set-up, release, restart",
    "checks": "Checks and measurements",
    "gauges": "Gauges and error-proofing",
    "product": "Suspect product, holds, lots",
    "board": "Board, schedule, capacity",
    "actions": "Actions, handover, maintenance",
}
PATTERNS = {
    "systemic": "systemic by nature",
    "isolated": "usually isolated until it repeats",
    "depends": "depends on how far it spreads",
}
BASES = {
    "places": "places are enough; no person is needed",
    "allocations": "needs allocations by pseudonym, and the plant's recorded basis for them",
    "profiling": "times or compares persons, and stays off without the plant's recorded basis",
}

INTRODUCTION = """
Each test is one query over all records of a kind. It returns one row per unit, and each unit is
conforming, an exception, not assessable (a record that would decide it is missing), or not
applicable (nothing is due). **An exception is a question to the plant, not a finding.** What the
words mean stands in [Words](../reference/words.md).

A test that lacks a table it needs is not assessable as a whole and says which one is missing.
"""


def pages() -> dict[str, str]:
    """A page for every record test, and the list of them."""
    tests = catalogue()
    found = {"record_tests/index.md": _index(list(tests.values()))}
    for slug, test in tests.items():
        found[f"record_tests/{slug}.md"] = _page(test)
    return found


def _index(tests: list[RecordTest]) -> str:
    parts = [INTRODUCTION]
    for family in FAMILIES:
        members = [test for test in tests if test.family == family]
        rows = [
            (link(test.slug, f"{test.slug}.md"), test.finding, ", ".join(map(_need, test.needs)))
            for test in members
        ]
        if rows:
            parts.append(f"## {FAMILY_TITLES[family]}")
            parts.append(table(["test", "what an exception states", "needs"], rows))
    return page("Record tests", CATALOGUE, parts)


def _page(test: RecordTest) -> str:
    file = f"{CATALOGUE}{test.family}/{test.slug.replace('-', '_')}.sql"
    parts = [
        f"> {test.finding}",
        _facts(test),
        *(f"## {heading}\n\n{text}" for heading, text in test.sections.items()),
        _clauses(test),
        _needs(test),
        _criteria(test),
        "## Query\n\n" + fence(test.sql.query, "sql"),
        _examples(test),
    ]
    return page(test.slug, file, parts)


def _facts(test: RecordTest) -> str:
    facts = {
        "Family": f"[{FAMILY_TITLES[test.family]}](index.md)",
        "A row reads": test.says,
        "Pattern": PATTERNS[test.pattern],
        "Persons": BASES[test.basis],
        "Split by": ", ".join(test.strata),
        "A unit is named by": ", ".join(f"`{name}`" for name in test.key),
        "Since": f"{test.since}, revision of the query `{test.revision}`",
    }
    return table(["", ""], [(f"**{name}**", text) for name, text in facts.items() if text])


def _clauses(test: RecordTest) -> str:
    lines = "\n".join(f"- {clause_text(clause)}" for clause in test.clauses)
    return f"## Nearest clauses\n\n{lines}"


def _need(need: str) -> str:
    return " or ".join(_record(name.strip()) for name in need.split("|"))


def _record(name: str) -> str:
    return link(name, f"../reference/records.md#{name.partition('.')[0]}")


def _needs(test: RecordTest) -> str:
    lines = ["## What it reads", "", f"Needs {', '.join(map(_need, test.needs))}."]
    lines += [f"Without {_need(name)}: {said}" for name, said in test.uses.items()]
    derived = needed_for(test.sql.tables())
    if derived:
        links = ", ".join(link(name, f"../reference/timeline.md#{name}") for name in derived)
        lines.append(f"Works from the derived tables {links}.")
    return "\n\n".join(line for line in lines if line)


def _criteria(test: RecordTest) -> str:
    if not test.criteria:
        return "## Criteria\n\nNone: the test takes no threshold."
    rows = [_criterion(KEYS[name]) for name in test.criteria]
    heads = ["criterion", "default", "what it decides", "where the default is from"]
    return "## Criteria\n\n" + table(heads, rows)


def _criterion(key: Key) -> tuple[str, str, str, str]:
    unit = "" if key.kind == "share" else key.unit
    name = link(key.name, "../reference/criteria.md")
    return name, f"{key.default} {unit}".strip(), key.about, key.source


def _examples(test: RecordTest) -> str:
    path = CASES / f"{test.slug}.md"
    if not (ROOT / path).exists():
        return ""
    said = f"These cases are run with every change: `make case F={path.as_posix()}`."
    return "\n\n".join(["## Examples", said, fence((ROOT / path).read_text("utf-8"), "text")])

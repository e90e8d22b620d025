"""Starts a record test: `new_test.py checks/my-slug` writes its query and its case file.

What it writes is a small test that runs and whose cases hold. Replace it piece by piece, so that
it keeps running while you write; CONTRIBUTING.md has the steps.
"""

import argparse
import re
import sys
from pathlib import Path

from witnessmark.errors import UnusableInputError, Where, WitnessmarkError
from witnessmark.record_tests.record_test import BANNED_NAME, FAMILIES, HEADINGS

ROOT = Path(__file__).resolve().parent.parent
CATALOGUE = Path("src/witnessmark/record_tests/catalogue")
CASES = Path("tests/record_tests/cases")
SLUG = re.compile(r"^[a-z][a-z0-9]*(-[a-z0-9]+)+$")
EXAMPLE = "`make new-test N=checks/late-entry`"

FRONT = """\
finding = "A check was entered later than the limit allows."
says = "Check {ref}, done {done_at}, was entered {entered_at}."
needs = ["checks.done_at", "checks.entered_at"]
criteria = ["late_entry_min"]
clauses = ["Q 7.5.3"]
pattern = "depends"
strata = ["shift"]
key = ["check_id"]
since = "0.1"
"""
HINTS = {
    "What it tests": "The question, in one or two sentences, about the process and never a person.",
    "Why it matters": "The innocent reading first, then what it may mean for the product.",
    "Population": "What one unit is, and what its ref is made of.",
    "Not assessable": "Each reason for which a unit cannot be judged.",
    "Traps": "What a hasty query would get wrong.",
    "Ask next": "What to ask or to look at on the floor, on any shift.",
    "Source": "The clause, or: common practice, no source.",
}
QUERY = """\
with

judged as (
    select
        check_id,
        row_ix,
        done_at,
        entered_at,
        $late_entry_s as allowed,
        date_diff('second', done_at, entered_at) as measured,
        case
            when 'ambiguous' in (done_at_quality, entered_at_quality) then 'time ambiguous'
            when done_at is null or entered_at is null then 'time missing'
        end as not_assessable
    from checks
)

select
    judged.check_id,
    judged.done_at,
    judged.entered_at,
    judged.measured,
    judged.allowed,
    judged.not_assessable,
    check_context.shift_ix,
    judged.measured > judged.allowed as exception
from judged
left join check_context on judged.row_ix = check_context.check_ix
"""
CASE_TABLE = """\
checks
| check_id | machine_id | part_no | kind   | done_at          | entered_at       | result |
|----------|------------|---------|--------|------------------|------------------|--------|
| c1       | M1         | P1      | patrol | 2026-03-03 10:00 | {entered_at:16} | pass   |
"""
CASE_LIST = (
    ("entered at once", "2026-03-03 10:05", "population 1, not assessable 0, exceptions none"),
    ("entered an hour later", "2026-03-03 11:00", "population 1, not assessable 0, exceptions c1"),
    ("no time of entry", "", "population 1, not assessable 1, exceptions none"),
    (
        "exactly at the limit (boundary)",
        "2026-03-03 10:30",
        "population 1, not assessable 0, exceptions none",
    ),
    (
        "entered after midnight (trap)",
        "2026-03-04 00:10",
        "population 1, not assessable 0, exceptions c1",
    ),
)


def query_file() -> str:
    """The text of the new SQL file: front matter, a hint under each heading, a query that runs."""
    prose = "\n\n".join(f"## {heading}\n{HINTS[heading]}" for heading in HEADINGS)
    return f"/*---\n{FRONT}---\n{prose}\n*/\n{QUERY}"


def case_file(slug: str) -> str:
    """The text of the new case file, with the five cases that every test must have."""
    cases = [
        f"## {name}\n\n{CASE_TABLE.format(entered_at=entered)}\nexpect: {expected}\n"
        for name, entered, expected in CASE_LIST
    ]
    return "\n".join([f"# {slug}\n\nzone: Europe/Berlin\n", *cases])


def refuse(name: str, root: Path) -> None:
    """Lets a usable new name pass.

    Raises:
        UnusableInputError: The name is no family and slug, is banned, or is taken.
    """
    where = Where(name)
    family, _, slug = name.partition("/")
    if family not in FAMILIES:
        raise UnusableInputError.one(
            where, f'"{family}" is no family.', f"one of {', '.join(FAMILIES)}", f"As {EXAMPLE}."
        )
    if not SLUG.match(slug):
        raise UnusableInputError.one(
            where, f'"{slug}" is no slug.', "small letters, words joined by -", f"As {EXAMPLE}."
        )
    if banned := BANNED_NAME.match(slug):
        raise UnusableInputError.one(
            where,
            f'a name may not begin with "{banned[0]}": it would name the remedy.',
            "the pattern found, such as gauge-overdue",
        )
    taken = [path for family in FAMILIES for path in _paths(family, slug) if (root / path).exists()]
    if taken:
        raise UnusableInputError.one(
            where, f"{taken[0].as_posix()} exists already.", "a name that is free"
        )


def _paths(family: str, slug: str) -> tuple[Path, Path]:
    """The files of a record test below the folder of the project: query and cases."""
    return CATALOGUE / family / f"{slug.replace('-', '_')}.sql", CASES / f"{slug}.md"


def write(name: str, root: Path) -> list[Path]:
    """Writes both files and gives their paths below `root`.

    Raises:
        UnusableInputError: The name cannot be used; nothing is written then.
    """
    refuse(name, root)
    family, _, slug = name.partition("/")
    texts = dict(zip(_paths(family, slug), (query_file(), case_file(slug)), strict=True))
    for path, text in texts.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_text(text, "utf-8")
    return list(texts)


def main() -> int:
    """Runs the command; a name that cannot be used is said in one line, with exit code 2."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("name", help="family and slug, such as checks/late-entry")
    parser.add_argument("--root", type=Path, default=ROOT, help="folder of the project")
    asked = parser.parse_args()
    try:
        paths = write(asked.name, asked.root)
    except WitnessmarkError as error:
        print(error, file=sys.stderr)
        return 2
    for path in paths:
        print(f"wrote {path.as_posix()}")
    print(
        f"Next: change both, then `make case F={paths[1].as_posix()}`, `make docs`, `make check`."
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())

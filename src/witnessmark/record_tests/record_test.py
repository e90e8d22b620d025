"""A record test as it stands in its file: front matter, prose, query.

The file is the test: its slug is the file's name, its family the folder. This module runs
nothing.
"""

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

from witnessmark.timeline.sql_file import SqlFile, parse

FAMILIES = ("staffing", "setup", "checks", "gauges", "product", "board", "actions")
HEADINGS = (
    "What it tests",
    "Why it matters",
    "Population",
    "Not assessable",
    "Traps",
    "Ask next",
    "Source",
)
BANNED_NAME = re.compile(r"^(no|check-that|ensure|avoid|use|must|should)-")
"""A slug names the pattern found; one that begins so would name the remedy."""
FIELD = re.compile(r"\{([a-z_0-9]+)\}")
BASES = ("places", "allocations", "profiling")

Basis = Literal["places", "allocations", "profiling"]
Pattern = Literal["systemic", "isolated", "depends"]


@dataclass(frozen=True)
class RecordTest:
    """One record test.

    Args:
        slug: Its one name; names the pattern found.
        family: Folder of the catalogue.
        finding: What an exception states, as a sentence.
        says: The sentence for one row; `{name}` takes a column of the query or `ref`.
        needs: Tables (`runs`), columns (`checks.done_at`) and alternatives (`a|b`).
        uses: Optional tables, and what the paper says when one is absent.
        criteria: Keys of the thresholds on which the result depends.
        clauses: Nearest requirements, `Q` ISO 9001 and `A` IATF 16949.
        pattern: Systemic by nature, isolated until repeated, or depending on spread.
        strata: Columns of the query by which results are split.
        key: Columns of the query that name a unit, in the order of its ref.
        basis: Step of the person basis that the plant must have recorded.
        since: Version that brought it.
        sections: Prose by heading.
        sql: The file.
    """

    slug: str
    family: str
    finding: str
    says: str
    needs: tuple[str, ...]
    uses: Mapping[str, str]
    criteria: tuple[str, ...]
    clauses: tuple[str, ...]
    pattern: Pattern
    strata: tuple[str, ...]
    key: tuple[str, ...]
    basis: Basis
    since: str
    sections: Mapping[str, str]
    sql: SqlFile

    @property
    def revision(self) -> str:
        """Short digest of the query: changes when the judgement could."""
        return hashlib.sha256(self.sql.query.encode()).hexdigest()[:8]

    @property
    def shown(self) -> frozenset[str]:
        """Columns that the sentence of a row names."""
        return frozenset(FIELD.findall(self.says))


FRONT = {
    "finding": str,
    "says": str,
    "needs": list,
    "criteria": list,
    "clauses": list,
    "pattern": str,
    "strata": list,
    "key": list,
    "since": str,
}


def read_record_test(text: str, family: str, slug: str) -> RecordTest:
    """Reads one file of the catalogue.

    Raises:
        ValueError: The front matter lacks a field or has one it does not know; names the test.
    """
    sql = parse(text, slug)
    front = sql.front
    known = set(FRONT) | {"uses", "basis"}
    wrong = sorted(set(front) - known) + sorted(
        name for name, kind in FRONT.items() if not isinstance(front.get(name), kind)
    )
    if wrong:
        raise ValueError(f"{slug}: front matter: unknown, missing or of a wrong type: {wrong}")
    uses = front.get("uses", {})
    return RecordTest(
        slug=slug,
        family=family,
        finding=str(front["finding"]),
        says=str(front["says"]),
        needs=_texts(front["needs"]),
        uses={str(k): str(v) for k, v in uses.items()} if isinstance(uses, dict) else {},
        criteria=_texts(front["criteria"]),
        clauses=_texts(front["clauses"]),
        pattern=front["pattern"],  # type: ignore[arg-type]  # a test holds the three words
        strata=_texts(front["strata"]),
        key=_texts(front["key"]),
        basis=front.get("basis", "places"),  # type: ignore[arg-type]  # likewise
        since=str(front["since"]),
        sections=sql.sections(),
        sql=sql,
    )


@cache
def catalogue() -> dict[str, RecordTest]:
    """All record tests by slug, in the order of families and names."""
    found = {}
    root = files("witnessmark.record_tests") / "catalogue"
    for family in FAMILIES:
        folder = root / family
        entries = sorted(folder.iterdir(), key=lambda entry: entry.name) if folder.is_dir() else []
        for file in entries:
            if file.name.endswith(".sql"):
                slug = file.name.removesuffix(".sql").replace("_", "-")
                found[slug] = read_record_test(file.read_text("utf-8"), family, slug)
    return found


def _texts(value: object) -> tuple[str, ...]:
    return tuple(str(item) for item in value) if isinstance(value, list) else ()

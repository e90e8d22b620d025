"""An SQL file of this project: TOML front matter, prose under headings, one query.

Derived tables and record tests are both written so. This module knows neither.
"""

import json
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import duckdb

SHAPE = re.compile(r"\A/\*---\n(?P<front>.*?)\n---\n(?P<prose>.*?)\*/\n(?P<query>.*)\Z", re.DOTALL)
HEADING = re.compile(r"^## (.+)$", re.MULTILINE)
PARAMETER = re.compile(r"\$([a-z_][a-z0-9_]*)")


@dataclass(frozen=True)
class SqlFile:
    """The three parts of a file.

    Args:
        front: Front matter.
        prose: Text between front matter and query.
        query: One select, without a closing semicolon.
    """

    front: Mapping[str, object]
    prose: str
    query: str

    def sections(self) -> dict[str, str]:
        """The prose by heading, in the order of the file."""
        parts = HEADING.split(self.prose)
        return {
            heading.strip(): text.strip()
            for heading, text in zip(parts[1::2], parts[2::2], strict=True)
        }

    def parameters(self) -> frozenset[str]:
        """Names of the parameters that the query takes."""
        return frozenset(PARAMETER.findall(self.query))

    def tables(self) -> frozenset[str]:
        """Names of the tables that the query reads; names of its own CTEs may be among them."""
        return tables_of(self.query)


def parse(text: str, name: str) -> SqlFile:
    """Takes a file apart.

    Raises:
        ValueError: It has not the shape of such a file; names the file.
    """
    match = SHAPE.match(text)
    if match is None:
        raise ValueError(f"{name}: a file starts with /*--- front matter --- prose */ and a query.")
    try:
        front = tomllib.loads(match["front"])
    except tomllib.TOMLDecodeError as error:
        raise ValueError(f"{name}: front matter: {error}") from error
    return SqlFile(front, match["prose"].strip(), match["query"].strip().rstrip(";"))


@cache
def _parser() -> duckdb.DuckDBPyConnection:
    """One for all queries: to open another takes longer than to parse."""
    return duckdb.connect()


@cache
def tables_of(query: str) -> frozenset[str]:
    """Names of all tables in a query, found by DuckDB's own parser."""
    with _parser().cursor() as con:
        row = con.execute("select json_serialize_sql(?)", [query]).fetchone()
    tree = json.loads(row[0]) if row else {}
    if tree.get("error"):
        raise ValueError(f"not one select: {tree.get('error_message')}")
    found: set[str] = set()
    pending: list[object] = [tree]
    while pending:
        node = pending.pop()
        if isinstance(node, dict):
            if node.get("type") == "BASE_TABLE":
                found.add(str(node["table_name"]))
            pending.extend(node.values())
        elif isinstance(node, list):
            pending.extend(node)
    return frozenset(found)

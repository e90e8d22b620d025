"""The tables beside the package against the published ones, and look-ups with arrows."""

from witnessmark.stats.indexed_plans import _tables, indexed_plan

TOPIC = "milstd105e_tables"


def letters():
    tables = _tables()
    names = ["lot_from", "lot_to", *tables["levels"]]
    return {"table": [dict(zip(names, row, strict=True)) for row in tables["letters"]]}


def names_of(expected):
    """AQL as the standard prints it."""
    return {float(name): name for name in expected}


def rows(kind, names):
    tables = _tables()
    columns = [names[aql] for aql in tables["aql"]]
    return [
        {"letter": letter, "n": n, "cells": dict(zip(columns, cells, strict=True))}
        for letter, (n, cells) in tables[kind].items()
    ]


def test_published(item, agrees):
    name, given = item["id"], item["inputs"]
    if name == "mil-table-I":
        found = letters()
    elif name in {"mil-table-II-A", "mil-table-II-B"}:
        printed = names_of(item["expected"]["aqls_percent_or_per_100"])
        kind = "normal" if name.endswith("A") else "tightened"
        aqls = [printed[aql] for aql in _tables()["aql"]]
        found = {"aqls_percent_or_per_100": aqls, "rows": rows(kind, printed)}
    elif name == "mil-table-II-C-part":
        every = {key for row in item["expected"]["rows"] for key in row["cells"]}
        names = {aql: f"{aql:g}" for aql in _tables()["aql"]} | names_of(every)
        found = {"rows": rows("reduced", names)}
    else:
        kind, level = given["inspection"], given["level"]
        plan = indexed_plan(given["lot_size"], float(given["aql"]), level, kind)
        found = {
            "code_letter": plan.code_letter,
            "plan_letter": plan.plan_letter,
            "n": plan.n,
            "Ac": plan.accept,
            "Re": plan.reject,
            "inspect_100_percent": plan.inspect_all,
        }
    agrees(item, found)

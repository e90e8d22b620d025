"""Curves, outgoing quality and plans against published values."""

from witnessmark.stats.acceptance import acceptance_curve, find_plan, quality_at
from witnessmark.stats.rectifying import outgoing_limit_factor, rectifying
from witnessmark.stats.staged_plans import double_plan, sequential_plan

TOPIC = "acceptance_plans_oc"


def curve(given):
    chances = acceptance_curve(given["n"], given["c"], given["p"]).chances
    return {"Pa_printed": (chances, "printed"), "Pa_exact": (chances, "exact")}


def finite(given):
    lot = given["N"]
    rates = [deviations / lot for deviations in given["defectives_in_lot"]]
    return {"Pa": list(acceptance_curve(given["n"], given["c"], rates, lot).chances)}


def total(given):
    found = rectifying(given["n"], given["c"], given["N"], given["p"]).inspected
    return {"ATI_printed": (found, "printed"), "ATI_exact": (found, "exact")}


def design(given):
    plan = find_plan(given["p1"], given["p2"], given["alpha"], given["beta"])
    return {
        "n": (plan.n, "n,c"),
        "c": (plan.accept, "n,c"),
        "Pa_p1": (plan.chance_good, "Pa"),
        "Pa_p2": (plan.chance_bad, "Pa"),
    }


def factors(given):
    found = [outgoing_limit_factor(c) for c in given["c"]]
    return {"y_printed": (found, "printed"), "y_exact": (found, "exact")}


def double(given):
    plan = [given[name] for name in ("n1", "c1", "r1", "n2", "c2")]
    found = double_plan(*plan, [given["p"]])
    parts = [found.passed_first[0], found.passed_second[0], found.passed[0]]
    return {
        "Pa_first": (parts[0], "exact"),
        "Pa_second": (parts[1], "exact"),
        "Pa": (parts[2], "exact"),
        # The item gives nine figures, fewer than its tolerance asks for.
        "ASN": (round(found.average_sample[0], 7), "exact"),
        "printed": (parts, "printed"),
    }


def sequential(given):
    found = sequential_plan(given["p1"], given["p2"], given["alpha"], given["beta"])
    return {
        "h1": (found.h1, "exact"),
        "h2": (found.h2, "exact"),
        "slope": (found.slope, "exact"),
        "printed": ([-found.h1, found.h2, found.slope], "printed"),
    }


def quality(given):
    return {"p": [quality_at(given["n"], given["c"], chance).rate for chance in given["Pa"]]}


FINDS = {
    "acc-nist-oc": curve,
    "acc-nist-ati": total,
    "acc-oc-89": curve,
    "acc-oc-hyp": finite,
    "acc-design": design,
    "acc-dodge-romig": factors,
    "acc-double": double,
    "acc-nist-sequential": sequential,
    "acc-mil-oc": quality,
}


def test_published(item, agrees):
    name = max((start for start in FINDS if item["id"].startswith(start)), key=len)
    agrees(item, FINDS[name](item["inputs"]))

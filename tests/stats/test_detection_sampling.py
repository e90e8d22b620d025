"""Sample sizes for detection against published and computed values."""

import math

from witnessmark.stats.attribute_sample import attribute_sample
from witnessmark.stats.detection import (
    chance_to_miss,
    clean_exposure,
    detection_sample,
    pocket_sample,
)
from witnessmark.stats.proportion import exact_interval

TOPIC = "detection_sampling"


def lot(given):
    size, accept = given["lot_size"], given["accept_number"]
    rate = given["deviations_in_lot"] / size
    plan = detection_sample(rate, given["confidence"], accept, size)
    return {
        "n": (plan.n, "n"),
        "p_accept_at_n": (plan.chance_to_miss, "p"),
        "p_accept_at_n_minus_1": (chance_to_miss(plan.n - 1, rate, accept, size), "p"),
    }


def smallest_lot(given):
    n, _ = lot(given)["n"]
    return {"n": n}


def endless(given):
    plan = detection_sample(given["tolerable_rate"], given["confidence"], given["accept_number"])
    return {"n": (plan.n, "n"), "p_accept_at_n": (plan.chance_to_miss, "p")}


def plans(given):
    found = [attribute_sample(**row, risk=given["risk"]) for row in given["rows"]]
    return {"n_and_expected_deviations": [[plan.n, plan.expected] for plan in found]}


def evaluated(given):
    confidence = 1 - given["risk"]
    upper = [exact_interval(x, n, confidence, "upper").upper for n, x in given["samples"]]
    printed = [math.ceil(1000 * one) / 10 for one in upper]
    return {
        "upper_limit_fraction_exact": (upper, "exact_values"),
        "printed_percent": (printed, "printed"),
    }


def pocket(given):
    return {"n_before_rounding_up": [pocket_sample(*case) for case in given["cases_N_D_conf"]]}


def rule_of_three(given):
    return {"exposure_times_rate": [clean_exposure(1, c).exposure for c in given["confidence"]]}


FINDS = {
    "det-hyp-min-lot": smallest_lot,
    "det-aicpa-plan-5pct": plans,
    "det-aicpa-eval-5pct": evaluated,
    "det-cannon-roe": pocket,
    "det-poisson-rule-of-three": rule_of_three,
}


def test_published(item, agrees):
    name = item["id"]
    family = endless if name.startswith("det-bin") else lot
    agrees(item, FINDS.get(name, family)(item["inputs"]))

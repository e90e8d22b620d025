"""Limits of shares and counts against published values."""

from collections.abc import Callable

from witnessmark.stats.approximate_interval import wilson_interval
from witnessmark.stats.binomial_test import against_rate
from witnessmark.stats.finite_lot import lot_limits
from witnessmark.stats.proportion import exact_interval
from witnessmark.stats.rates import rate_interval

TOPIC = "confidence_limits"
NOT_OFFERED = "this interval is not offered: exact, mid-P and Wilson are enough"
NORMAL = "the normal approximation is not offered where the exact test is at hand"


def pair(limits):
    return [limits.lower, limits.upper]


def newcombe(given):
    score, exact = (pair(f(**given)) for f in (wilson_interval, exact_interval))
    return {
        "wilson": (score, "exact"),
        "clopper_pearson": (exact, "exact"),
        "printed_wilson": (score, "printed"),
        "printed_clopper_pearson": (exact, "printed"),
    }


def nist(given):
    lower, upper = pair(exact_interval(**given))
    return {
        "lower": (lower, "printed"),
        "upper": (upper, "printed"),
        "clopper_pearson_full": ([lower, upper], "printed"),
    }


def conover(given):
    test = against_rate(given["x"], given["n"], given["p0"])
    limits = exact_interval(given["x"], given["n"], given["confidence"])
    return {"p_value": test.p_two_sided, "clopper_pearson": pair(limits)}


def one_sided(given):
    return {
        "lower_upper": [
            [exact_interval(x, n, c, "lower").lower, exact_interval(x, n, c, "upper").upper]
            for n, x, c in given["n_x_conf"]
        ]
    }


def none_found(given):
    return {
        "two_sided_upper": [exact_interval(0, n).upper for n in given["n"]],
        "one_sided_upper": [exact_interval(0, n, side="upper").upper for n in given["n"]],
    }


def only_wilson(given):
    return {"wilson": pair(wilson_interval(**given))}


def lot(given):
    values = given["x"], given["n"], given["lot_size"], given["confidence_one_sided"]
    above = lot_limits(*values, side="upper")
    return {
        "upper_D": above.upper,
        "lower_D": lot_limits(*values, side="lower").lower,
        "upper_rate": above.rate_upper,
    }


def garwood(given):
    limits = [pair(rate_interval(k, 1, given["confidence"])) for k in given["counts"]]
    exact = [[k, *limit] for k, limit in zip(given["counts"], limits, strict=True)]
    return {"printed": (limits, "printed"), "exact_k_lower_upper": (exact, "exact")}


def nickel(given):
    found = rate_interval(given["count"], given["exposure"])
    return {"rate": found.rate, "ci95": pair(found)}


def factors(given):
    upper = [rate_interval(k, 1, given["confidence"], "upper").upper for k in given["counts"]]
    return {"exact": (upper, "exact"), "printed": (upper, "printed")}


def allowed(given):
    return {"p_one_sided_exact": against_rate(given["x"], given["n"], given["p0"]).p_above}


FINDS: dict[str, Callable] = {
    "ci-nist-7.2.4.1-exact": nist,
    "ci-wilson-vs-bcc": conover,
    "ci-one-sided-set": one_sided,
    "ci-zero-closed-form": none_found,
    "ci-ac-jeffreys-4-20": only_wilson,
    "ci-garwood": garwood,
    "ci-poisson-nickel": nickel,
    "ci-poisson-one-sided": factors,
    "test-nist-7.2.4-z": allowed,
}
LEFT_OUT = {
    "ci-ac-jeffreys-4-20": {"agresti_coull_clipped": NOT_OFFERED, "jeffreys": NOT_OFFERED},
    "test-nist-7.2.4-z": dict.fromkeys(("z", "z_printed", "p_one_sided_normal"), NORMAL),
}


def test_published(item, agrees):
    name = item["id"]
    family = newcombe if name.startswith("ci-newcombe") else lot
    found = FINDS.get(name, family)(item["inputs"])
    agrees(item, found, LEFT_OUT.get(name))

"""Pictures of results: each compiles, says what is seen, and shows the numbers of its result."""

import json
import math
import xml.etree.ElementTree as ET
from itertools import pairwise

import numpy as np
import pytest
from scipy.stats import lognorm

from witnessmark.errors import UnusableInputError
from witnessmark.report.charts import About, has_picture, picture_of, png, svg, write_picture
from witnessmark.report.charts.control import run_length_curve
from witnessmark.report.charts.limits import forest
from witnessmark.report.charts.look import Axis, sheet, to_scale
from witnessmark.stats.acceptance import acceptance_curve, find_plan, quality_at
from witnessmark.stats.attribute_charts import p_chart
from witnessmark.stats.attribute_study import attribute_study
from witnessmark.stats.before_after import before_after
from witnessmark.stats.binomial_test import against_rate
from witnessmark.stats.capability import process_capability
from witnessmark.stats.capability_limits import cpk_limits, needed_index
from witnessmark.stats.capacity import DemandLine, DemonstratedRate, capacity
from witnessmark.stats.change_points import cusum_of_deviations, mean_shift, pettitt
from witnessmark.stats.change_segments import segmented_means
from witnessmark.stats.change_share import share_shift
from witnessmark.stats.clean_days import clean_days_needed
from witnessmark.stats.clock_offset import clock_offset
from witnessmark.stats.clusters import clustered_interval
from witnessmark.stats.control_charts import individuals_chart
from witnessmark.stats.declared_recomputed import declared_agreement
from witnessmark.stats.delays import compare_delays
from witnessmark.stats.detection import chance_to_miss, could_miss, detection_sample
from witnessmark.stats.digits import terminal_digits
from witnessmark.stats.finite_lot import census, lot_limits
from witnessmark.stats.gauge_effect import observed_capability
from witnessmark.stats.gauge_study import average_range_study, gauge_study
from witnessmark.stats.indexed_plans import indexed_plan
from witnessmark.stats.interference import finite_source_queue
from witnessmark.stats.interference_limits import most_machines
from witnessmark.stats.logrank import logrank
from witnessmark.stats.odds_ratio import exact_table, mantel_haenszel
from witnessmark.stats.percentile_capability import percentile_capability
from witnessmark.stats.proportion import exact_interval
from witnessmark.stats.rates import compare_rates, power_of_comparison, rate_interval
from witnessmark.stats.rectifying import rectifying
from witnessmark.stats.redated import redated_share
from witnessmark.stats.repeat_study import repeat_study
from witnessmark.stats.run_lengths import means_chart_power, shewhart_run_length
from witnessmark.stats.run_rules import signals
from witnessmark.stats.sister_machine import against_sister
from witnessmark.stats.staged_plans import double_plan, sequential_plan
from witnessmark.stats.station_capability import station_capabilities
from witnessmark.stats.stratified import stratified_rate
from witnessmark.stats.survival import survival_curve
from witnessmark.stats.tending import Task, TendedMachine, tending_load
from witnessmark.stats.time_weighted_charts import cusum_chart
from witnessmark.stats.work_sampling import looks_for_margin, looks_to_see, round_times

DAY = 86400
DRAWN = np.random.default_rng(7)
VALUES = DRAWN.normal(10.0, 0.1, (20, 5))
ROW = [*DRAWN.normal(5, 1, 20).tolist(), *DRAWN.normal(8, 1, 15).tolist()]
READINGS = DRAWN.normal(10, 1, (8, 1, 1)) + DRAWN.normal(0, 0.2, (8, 3, 2))
MACHINES = [TendedMachine("M1", (Task("stop", 2, 5), Task("patrol", 0.5, 6)))]
TRUE_S = np.arange(0, 12 * DAY, 7000)

RESULTS = {
    "against a rate": against_rate(5, 30, 0.05),
    "interval": exact_interval(3, 30),
    "interval, upper": exact_interval(0, 59, side="upper"),
    "interval, lower": exact_interval(5, 59, side="lower"),
    "interval of nothing": exact_interval(0, 0),
    "clustered": clustered_interval([4, 0, 1, 0, 5], [10] * 5),
    "stratified": stratified_rate([2, 6], [40, 40], [400, 100]),
    "census": census(4, 50),
    "census of nothing": census(0, 0),
    "lot": lot_limits(2, 30, 200),
    "redated": redated_share(17, 46),
    "rate": rate_interval(7, 420.0),
    "rate, lower": rate_interval(7, 420.0, side="lower"),
    "could miss": could_miss(30),
    "could miss, two found": could_miss(30, 2),
    "could miss anything": could_miss(0),
    "detection": detection_sample(0.05),
    "detection in a lot": detection_sample(0.05, lot=400),
    "detection of a small rate": detection_sample(0.002),
    "see": looks_to_see(0.15),
    "looks": looks_for_margin(0.2, 0.05),
    "rounds": round_times(480, 8, np.random.default_rng(7)),
    "acceptance": acceptance_curve(80, 2, [0.01, 0.05]),
    "acceptance in a lot": acceptance_curve(20, 0, [0.0, 0.05, 0.1], 200),
    "quality": quality_at(80, 2, 0.1),
    "plan": find_plan(0.01, 0.06),
    "indexed": indexed_plan(1200, 1.0),
    "double": double_plan(50, 1, 4, 50, 4, [0.0, 0.05, 0.1]),
    "sequential": sequential_plan(0.01, 0.06),
    "rectifying": rectifying(80, 2, 1000, [0.0, 0.02, 0.05, 0.1]),
    "before, after": before_after(12, 30, 4, 30),
    "before, nothing after": before_after(12, 30, 0, 0),
    "compared": compare_rates(18, 420, 9, 510),
    "sister": against_sister((14, 100), (3, 100), (12, 100), (11, 100)),
    "power": power_of_comparison(0.4, 0.4, 30, 30),
    "clean days": clean_days_needed(0.2),
    "table": exact_table(41, 47, 5, 119),
    "table with an empty cell": exact_table(4, 5, 0, 9),
    "tables": mantel_haenszel([[[4, 5], [2, 9]], [[6, 5], [2, 7]]]),
    "p chart": p_chart([4, 6, 3, 15, 5, 3], [50, 50, 50, 50, 40, 40]),
    "individuals": individuals_chart(ROW, mean=5, sigma=1),
    "cusum": cusum_chart(ROW, target=5, k=0.5, h=5),
    "cusum within": cusum_chart([0.0, 0.1, 0.0], target=0, k=0.5, h=5),
    "point power": means_chart_power(1.0, 5),
    "mean shift": mean_shift(ROW),
    "ranks": pettitt(ROW),
    "segments": segmented_means(ROW),
    "share shift": share_shift([1, 0, 1, 0, 5, 6, 4], [20] * 7),
    "sum of deviations": cusum_of_deviations(ROW),
    "capability": process_capability(VALUES, 9.5, 10.5),
    "capability, one limit": process_capability(VALUES, upper=10.5),
    "capability, not stable": process_capability(np.vstack([VALUES, VALUES[:5] + 1]), 9, 12),
    "index": cpk_limits(1.33, 50),
    "index, lower": cpk_limits(1.33, 50, sides="lower"),
    "needed": needed_index(1.33, 50),
    "stations": station_capabilities({"A": VALUES, "B": VALUES + 0.2}, 9.5, 10.5),
    "percentiles": percentile_capability(lognorm(0.5, scale=0.004), upper=0.02),
    "gauge": gauge_study(READINGS, tolerance=8),
    "gauge without tolerance": average_range_study(READINGS),
    "gauge effect": observed_capability(1.67, 0.3),
    "judges": attribute_study({"a": [[1, 1], [0, 1], [1, 0]]}, [1, 0, 1]),
    "judges without a bad part": attribute_study({"a": [[1, 1], [0, 1]]}, [1, 1]),
    "repeats": repeat_study(list("AABB"), [1.0, 1.1, 2.0, 2.2], [0.1, 0.2, 0.1, 0.1], 5),
    "load": tending_load(MACHINES, 53),
    "queue": finite_source_queue(6, 30, 5),
    "most machines": most_machines(30, 5, longest_mean_wait=6),
    "no machine": most_machines(30, 5, least_efficiency=0.99),
    "capacity": capacity(
        [DemandLine("shaft", 1000, 60)],
        DemonstratedRate(0.6, "good", "all days"),
        machine_hours=40,
        shift_hours=8,
        demand_counts="good",
    ),
    "survival": survival_curve([5, 8, 12, 20, 20], [1, 1, 0, 1, 0]),
    "survival, none closed": survival_curve([5, 8, 12], [0, 0, 0]),
    "groups": logrank([([5, 8, 12], [1, 1, 0]), ([9, 20, 30], [1, 0, 1])], ["a", "b"]),
    "clock": clock_offset(TRUE_S + 90 - 3600 * (TRUE_S > 6 * DAY), TRUE_S),
    "digits": terminal_digits([61, 22, 31, 27, 29, 54, 24, 30, 26, 20]),
    "declared": declared_agreement([[61, 14], [2, 23]]),
    "declared, empty": declared_agreement([[0, 0], [0, 0]]),
    "delays": compare_delays([5, 9, 30, 44, 61, 70], [3, 4, 8, 9, 12, 20]),
}  # fmt: skip


def drawn_values(spec):
    """Every number in the data of a spec."""
    found = []

    def walk(part):
        if isinstance(part, dict):
            for key, value in part.items():
                if key == "values" and "data" not in part:
                    found.extend(
                        number
                        for row in value
                        if isinstance(row, dict)
                        for number in row.values()
                        if isinstance(number, int | float)
                    )
                elif key == "datum":
                    found.append(value)
                else:
                    walk(value)
        elif isinstance(part, list):
            for one in part:
                walk(one)

    walk(spec)
    return found


def words_of(picture):
    root = ET.fromstring(picture)  # noqa: S314 - our own picture
    texts = [node for node in root.iter() if node.tag.endswith("text")]
    return " ".join(" ".join(node.itertext()) for node in texts).replace("\u00a0", " ")


def shows(spec, *wanted):
    drawn = drawn_values(spec)
    return [
        value
        for value in wanted
        if not any(math.isclose(value, one, abs_tol=1e-9) for one in drawn)
    ]


@pytest.mark.parametrize("name", RESULTS)
def test_every_picture_compiles_with_its_title_and_marks(name):
    spec = picture_of(RESULTS[name])
    assert has_picture(RESULTS[name])
    json.dumps(spec, allow_nan=False)
    picture = svg(spec)
    said = words_of(picture)
    assert " ".join(spec["title"]["text"]).replace("\u00a0", " ") in said
    quoted = getattr(RESULTS[name], "location", RESULTS[name]).sentence
    assert spec["description"].endswith(quoted)
    layers = [layer for part in spec.get("vconcat", [spec]) for layer in part["layer"]]
    assert all(layer["mark"]["type"] for layer in layers)
    assert picture.count("<path") > len(layers) / 3 or name == "could miss anything"
    assert "NaN" not in picture
    assert "undefined" not in picture


def test_limits_in_the_picture_are_those_of_the_result():
    found = RESULTS["interval"]
    assert shows(picture_of(found), found.rate, found.lower, found.upper) == []
    rate = RESULTS["rate"]
    assert shows(picture_of(rate), rate.rate, rate.lower, rate.upper) == []
    lot = RESULTS["lot"]
    assert shows(picture_of(lot), lot.x, lot.lower, lot.upper) == []


def test_one_sided_limits_have_one_end():
    def ends(name):
        spec = picture_of(RESULTS[name])
        (tick,) = [one for one in spec["layer"] if one["mark"]["type"] == "tick"]
        return [row["x"] for row in tick["data"]["values"]]

    assert ends("interval, upper") == [RESULTS["interval, upper"].upper]
    assert len(ends("interval")) == 2


def test_a_forest_keeps_the_order_given():
    named = {
        "night": exact_interval(9, 20),
        "early": exact_interval(1, 20),
        "late": exact_interval(0, 0),
    }
    spec = forest(named, about=About("late checks"))
    y = next(one["encoding"]["y"] for one in spec["layer"] if "y" in one["encoding"])
    assert y["sort"] == ["night", "early", "late"]
    said = words_of(svg(spec))
    assert "9 of 20: 45 %" in said
    assert "nothing looked at" in said
    assert "5 % to 45 %" in said


def test_the_curve_of_what_can_be_missed_is_that_of_the_statistic():
    found = RESULTS["could miss, two found"]
    spec = picture_of(found)
    (curve,) = [one for one in spec["layer"] if one["mark"]["type"] == "line"]
    points = [(row["x"], row["y"]) for row in curve["data"]["values"]]
    assert points[0] == (0.0, 1.0)
    assert all(chance == pytest.approx(chance_to_miss(30, rate, 2)) for rate, chance in points[1:])
    assert (found.rate, pytest.approx(0.05)) in points
    assert all(later[1] <= earlier[1] for earlier, later in pairwise(points))


def test_points_outside_are_told_by_shape_and_number():
    found = RESULTS["individuals"]
    location = picture_of(found)["vconcat"][0]
    (outside,) = [one for one in location["layer"] if one["mark"].get("shape") == "diamond"]
    places = [row["x"] - 1 for row in outside["data"]["values"]]
    assert places == list(found.location.outside)
    (inside,) = [one for one in location["layer"] if one["mark"].get("shape") == "circle"]
    assert len(inside["data"]["values"]) == 35 - len(places)
    assert shows(location, found.location.upper[0], found.location.lower[0], *ROW) == []


def test_the_limits_of_the_drawing_are_found_again_from_the_indices():
    spec = picture_of(RESULTS["capability"], About("bore", "mm", tuple(VALUES.ravel())))
    assert shows(spec, 9.5, 10.5, RESULTS["capability"].mean) == []
    columns = spec["vconcat"][0]["layer"][0]["data"]["values"]
    assert sum(row["y"] for row in columns) == 100
    assert "not stable" in words_of(svg(picture_of(RESULTS["capability, not stable"])))
    assert "bore (mm)" in words_of(svg(spec))


def test_gauge_shares_of_variation_and_of_tolerance_stay_apart():
    found = RESULTS["gauge"]
    variation, tolerance = picture_of(found)["vconcat"]
    assert shows(variation, found.gauge / found.total, found.part / found.total) == []
    assert shows(tolerance, found.gauge_share_of_tolerance) == []
    assert len(picture_of(RESULTS["gauge without tolerance"])["vconcat"]) == 1


def test_the_survival_curve_marks_those_still_open_when_their_ages_are_given():
    found = RESULTS["survival"]
    curve = picture_of(found, About(values=(12.0, 20.0)))["vconcat"][0]
    (ticks,) = [one for one in curve["layer"] if one["mark"]["type"] == "tick"]
    at = {row["x"]: row["y"] for row in ticks["data"]["values"]}
    assert at == {12.0: found.rows[1].open_share, 20.0: found.rows[2].open_share}
    bare = picture_of(found)["vconcat"][0]
    assert not any(one["mark"]["type"] == "tick" for one in bare["layer"])


def test_a_clock_is_drawn_with_its_steps_taken_off():
    found = RESULTS["clock"]
    spec = picture_of(found)
    (points,) = [one for one in spec["layer"] if one["mark"]["type"] == "point"]
    assert {round(row["y"]) for row in points["data"]["values"]} == {90}
    assert len(points["data"]["values"]) == len(found.by_day) - 1
    assert "step \u22121 h" in words_of(svg(spec))


def test_observed_digits_and_expected_ones_are_both_drawn():
    found = RESULTS["digits"]
    assert shows(picture_of(found), *found.counts, *found.expected) == []


def test_before_and_after_have_the_rates_of_the_counts():
    assert shows(picture_of(RESULTS["before, after"]), 12 / 30, 4 / 30) == []
    assert "no exposure" in words_of(svg(picture_of(RESULTS["before, nothing after"])))


def test_run_lengths_are_drawn_over_the_shift():
    lengths = [shewhart_run_length(shift) for shift in (0.0, 1.0, 2.0)]
    spec = run_length_curve({"single points": lengths})
    assert shows(spec, *(one.average for one in lengths)) == []
    assert "single points" in words_of(svg(spec))


def test_a_result_without_a_picture_says_so():
    result = signals([0.0, 0.1, -0.2])
    assert not has_picture(result)
    with pytest.raises(UnusableInputError, match="Signals: no picture is drawn of it"):
        picture_of(result)


def test_pictures_are_written_as_svg_and_png(tmp_path):
    spec = picture_of(RESULTS["interval"])
    write_picture(spec, tmp_path / "rate.svg")
    write_picture(spec, tmp_path / "rate.PNG")
    assert ET.fromstring((tmp_path / "rate.svg").read_text()).tag.endswith("svg")  # noqa: S314 - our own picture
    written = (tmp_path / "rate.PNG").read_bytes()
    assert written.startswith(b"\x89PNG\r\n")
    width = int.from_bytes(written[16:20], "big")
    assert width == 2 * int.from_bytes(png(spec, 1)[16:20], "big")


def test_another_kind_of_file_is_refused_with_what_works(tmp_path):
    spec = picture_of(RESULTS["interval"])
    with pytest.raises(
        UnusableInputError, match=r"rate\.pdf: .* Expected a name in \.svg or \.png"
    ):
        write_picture(spec, tmp_path / "rate.pdf")
    with pytest.raises(UnusableInputError, match="its folder does not exist"):
        write_picture(spec, tmp_path / "nowhere" / "rate.svg")
    assert list(tmp_path.iterdir()) == []


def test_the_same_result_gives_the_same_picture():
    result = RESULTS["queue"]
    assert svg(picture_of(result)) == svg(picture_of(result))


def test_a_caption_that_is_too_long_is_left_to_the_description():
    spec = sheet("a title", {"layer": []}, "word " * 200)
    assert "subtitle" not in spec["title"]
    assert spec["description"].startswith("A title. word word")
    assert "subtitle" in sheet("a title", {"layer": []}, "short")["title"]


def test_axes_of_ratios_have_round_ticks_and_values_digits_of_their_scale():
    assert Axis(None, log=True, domain=(1, 30)).channel()["axis"]["values"] == [1, 2, 5, 10, 20]
    assert to_scale(24.0361, 0.072) == "24.036"
    assert to_scale(0.0, 5.0) == "0"


def test_every_kind_of_result_with_a_picture_is_drawn_here():
    drawn = {type(result) for result in RESULTS.values()}
    assert set(picture_of.registry) - {object} - drawn == set()

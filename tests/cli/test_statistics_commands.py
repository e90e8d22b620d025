"""The statistics as an auditor calls them: values, sentences, JSON, pictures, refusals."""

import json
import subprocess
import sys
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
import xlsxwriter
from cyclopts import CycloptsError

from witnessmark.cli import STATISTICS, app
from witnessmark.errors import WitnessmarkError

WITNESSMARK = Path(sys.executable).parent / "witnessmark"
PUBLISHED = Path(__file__).parent.parent / "stats" / "published"
# NIST/SEMATECH e-Handbook 6.3.2.2, flow rate of a liquid
FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]


def published(topic, item):
    items = json.loads((PUBLISHED / f"{topic}.json").read_text(encoding="utf-8"))
    items = items if isinstance(items, list) else items["items"]
    return next(one for one in items if one["id"] == item)


@pytest.fixture
def call(capsys):
    """Calls a command in this process and gives what it printed."""

    def run(*tokens):
        app([str(token) for token in tokens], exit_on_error=False, result_action="return_value")
        return capsys.readouterr().out

    return run


@pytest.fixture
def as_json(call):
    """Calls a command and gives its result."""
    return lambda *tokens: json.loads(call(*tokens, "--json"))


def written(folder, name, headings, rows):
    path = folder / name
    lines = [";".join(headings), *(";".join(str(cell) for cell in row) for row in rows)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def flow(tmp_path):
    """Ten values with a decimal comma, as a German spreadsheet saves them."""
    rows = [(number, f"{value}".replace(".", ",")) for number, value in enumerate(FLOW, 1)]
    return written(tmp_path, "flow.csv", ("No", "Flow rate"), rows)


@pytest.mark.parametrize(
    ("tokens", "n"),
    [
        (["5%", "95%"], 59),
        (["0.05", "0.95"], 59),
        (["0,05"], 59),
        (["1 %"], 299),
        (["10%", "--lot", 20], 16),
        (["10%", "--lot", 200], 27),
        (["5%", "--lot", 500], 56),
        (["5%", "--expecting", "1%"], 93),
    ],
)
def test_size_gives_the_numbers_of_the_trade(as_json, tokens, n):
    assert as_json("size", *tokens)["n"] == n


def test_size_prints_table_conditions_and_sentence(call):
    said = call("size", "5%", "95%")
    assert said.splitlines()[0].split() == ["Look", "at", "59"]
    assert "Chance to miss it" in said
    assert "This holds if\n- The items are drawn at random" in said
    assert said.splitlines()[-1].startswith("To see at least one deviation with 95 % chance")


@pytest.mark.parametrize("said", [["0 of 30"], ["0/30"], ["0", "of", "30"], ["0", "30"], ["30"]])
def test_could_miss_takes_x_of_n_as_it_is_said(call, said):
    assert "9.5 %" in call("could-miss", *said)


@pytest.mark.parametrize(
    ("n", "rate"), [(10, 0.26), (20, 0.14), (30, 0.095), (59, 0.05), (299, 0.01)]
)
def test_could_miss_of_a_clean_sample(as_json, n, rate):
    assert as_json("could-miss", f"0/{n}")["rate"] == pytest.approx(rate, abs=0.0055 * rate**0.5)


def test_could_miss_of_a_lot_counts_the_unseen(as_json):
    assert as_json("could-miss", "0/60", "--lot", 500)["unseen"] == 22


@pytest.mark.parametrize(
    ("said", "lower", "upper"), [("1/20", 0.001, 0.25), ("3/30", 0.02, 0.27), ("7/40", 0.07, 0.33)]
)
def test_rate_of_x_of_n(as_json, said, lower, upper):
    found = as_json("rate", said)
    assert (found["lower"], found["upper"]) == pytest.approx((lower, upper), abs=0.005)


def test_rate_of_events_over_an_exposure(as_json, call):
    found = as_json("rate", 4, "--per", 200)
    assert (found["lower"], found["upper"]) == pytest.approx((0.00545, 0.05121), abs=1e-5)
    assert "at most 0.0458 per unit" in call("rate", 4, "--per", 200, "--one-sided", "upper")


def test_clusters_count_as_fewer_items(as_json):
    found = as_json("rate", "10 of 100", "--cluster-size", 10, "--correlation", 0.2)
    assert "count as about 36 independent ones" in found["sentence"]
    assert as_json("rate", "10 of 100", "--design-effect", 2.8)["upper"] == found["upper"]
    plain = as_json("rate", "10 of 100")
    assert found["upper"] - found["lower"] > plain["upper"] - plain["lower"]


def test_a_complete_count_has_no_margin(call, as_json):
    assert "exact for the period, without margin" in call("rate", "7/40", "--census")
    assert as_json("rate", "4 of 50", "--lot", 50)["upper"] == 4


def test_effect_says_how_many_comparable_days_would_settle_it(call, as_json):
    assert as_json("effect", "12/30", "4/30")["verdict"] == "shown"
    said = call("effect", "6/20", "0/10")
    assert "not yet demonstrable" in said
    assert "3 comparable days" in said  # 2.95 further days without an event
    in_hours = call("effect", "6/400", "0/200", "--unit", "hours", "--a-day", 20)
    assert "3 comparable days (59.1 hours)" in in_hours
    assert "59.1 hours\n" in call("effect", "6/400", "0/200", "--unit", "hours")


def test_effect_against_a_sister_machine(as_json):
    found = as_json("effect", "14/100", "3/100", "--sister", "12/100", "11/100")
    assert (found["verdict"], round(found["ratio"], 2)) == ("shown", 0.24)


def test_effect_of_periods_leaves_out_the_trigger(as_json, tmp_path):
    phases = ["before", "before", "Trigger", "after", "after"]
    rows = [(x, 10, phase) for x, phase in zip([3, 4, 9, 1, 0], phases, strict=True)]
    file = written(tmp_path, "weeks.csv", ("events", "exposure", "phase"), rows)
    found = as_json("effect", "--periods", file)
    assert (found["x_before"], found["x_after"]) == (7, 1)
    assert any("trigger: 9 events" in text for text in found["assumptions"])


def test_clean_days_that_are_needed(as_json):
    needed = [as_json("effect", "--red-days", s)["days"] for s in ("10%", "20%", "30%", "50%")]
    assert needed == [29, 14, 9, 5]


WORK = ("stop=1.5x4", "change-over=1/6x15", "patrol=0.5x6", "bin=1x2", "walking=1x1.5")


@pytest.mark.parametrize(("machines", "load"), [(3, 0.85), (4, 1.13)])
def test_tend_gives_the_load_of_one_person(as_json, machines, load):
    found = as_json("tend", "--machines", machines, "--available", 53, "--work", *WORK)
    assert found["load"]["load"] == pytest.approx(load, abs=0.005)
    assert found["most_tended"]["machines"] == 2


@pytest.mark.parametrize(
    ("machines", "busy", "wait", "running"),
    [(2, 0.28, 0.7, 0.84), (4, 0.53, 2.7, 0.80), (6, 0.74, 5.8, 0.74), (8, 0.88, 10.6, 0.66)],
)
def test_tend_gives_the_waiting_of_stopped_machines(as_json, machines, busy, wait, running):
    found = as_json("tend", "--machines", machines, "--runs", 30, "--service", 5)["waiting"]
    assert found["utilisation"] == pytest.approx(busy, abs=0.006)
    assert found["mean_wait"] == pytest.approx(wait, abs=0.06)
    assert found["efficiency"] == pytest.approx(running, abs=0.006)


def test_tend_reads_a_load_file(as_json, tmp_path):
    file = tmp_path / "night.toml"
    work = '{ kind = "stop", per_hour = 3, minutes = 5 }'
    file.write_text(
        "shift_min = 480\nbreak_min = 56\n"
        + "".join(
            f'[[machine]]\nname = "{name}"\nwatched = {watched}\nwork = [{work}]\n'
            for name, watched in (("L1", "false"), ("L2", "true"))
        ),
        encoding="utf-8",
    )
    found = as_json("tend", file, "--runs", 30, "--service", 5)
    assert found["load"]["minutes_per_hour"] == 30
    assert found["load"]["watched"] == ["L2"]
    assert found["waiting"]["machines"] == 2


CAPACITY = ("--oee", "62%", "--machine-hours", 675, "--shift-hours", 7.5)


def test_capacity_of_one_part_and_of_a_file(as_json, tmp_path):
    one = as_json("capacity", "--quantity", 340_000, "--ideal", 720, *CAPACITY)
    assert round(one["machine"]["short"]) == 87
    assert round(one["machine"]["short_shifts"], 1) == 11.6
    assert round(one["possible"]) == 301_320
    rows = [("A", "140.000", 720), ("B", "200.000", 720)]
    file = written(tmp_path, "demand.csv", ("part", "quantity", "ideal_per_hour"), rows)
    several = as_json("capacity", file, *CAPACITY, "--decimal", ",")
    assert several["machine"]["required"] == pytest.approx(one["machine"]["required"])


def test_chart_of_values_with_a_decimal_comma(as_json, call, flow):
    found = as_json("chart", flow, "flow rate")
    assert found["location"]["centre"][0] == pytest.approx(50.81)
    assert found["location"]["upper"][0] == pytest.approx(55.8041, abs=0.002)  # d2 as 1.128
    said = call("chart", flow, "Flow rate", "--mean", 50, "--sigma", 1)
    assert "9 (row 10)" in said


def test_chart_under_the_rules_of_the_plant(as_json, call, flow):
    tokens = ("chart", flow, "Flow rate", "--mean", 48, "--sigma", 1)
    found = as_json(*tokens, "--rules", "western-electric")
    assert 5 in [place for _, places in found["signals"]["by_rule"] for place in places]
    assert "signals" not in as_json(*tokens)
    assert "8 points in a row on one side" in call(*tokens, "--rules", "western-electric")


def test_chart_in_subgroups_by_column_and_by_size(as_json, tmp_path):
    rows = [(f"s{i // 2}", v) for i, v in enumerate([4, 6, 5, 6, 4, 5, 7, 4, 5, 5])]
    file = written(tmp_path, "means.csv", ("sample", "x"), rows)
    found = as_json("chart", file, "x", "--subgroup", "sample")
    assert found == as_json("chart", file, "x", "--size", 2)
    assert round(found["sigma"], 4) == 1.2407
    by_deviations = as_json("chart", file, "x", "--size", 2, "--kind", "means-deviations")
    assert by_deviations["spread"]["kind"] == "subgroup standard deviations"


@pytest.mark.parametrize("kind", ["p", "np", "u"])
def test_chart_of_counts(as_json, tmp_path, kind):
    rows = [(x, 50) for x in (2, 3, 1, 2, 2, 15, 3)]
    file = written(tmp_path, "rejects.csv", ("rejected", "checked"), rows)
    found = as_json("chart", file, "rejected", "--kind", kind, "--n", "checked")
    assert found["outside"] == [5]
    assert as_json("chart", file, "rejected", "--kind", "c")["outside"] == [5]


def test_capability_of_stations_apart(as_json, call, tmp_path):
    left, right = [5.0, 5.2, 4.9, 5.1, 5.0, 4.8], [6.2, 6.4, 6.1, 6.3, 6.2, 6.0]
    rows = [row for pair in zip(left, right, strict=True)
            for row in zip(("left", "right"), pair, strict=True)]  # fmt: skip
    file = written(tmp_path, "stations.csv", ("station", "x"), rows)
    found = as_json("capability", file, "x", "--lower", 4, "--upper", 7, "--by", "station")
    assert found["least"] == "right"
    alone = as_json("capability", file, "x", "--lower", 4, "--upper", 7, "--only", "station=left")
    assert alone["ppk"]["value"] == found["by_station"]["left"]["ppk"]["value"]
    said = call("capability", file, "x", "--lower", 4, "--only", "station=left")
    assert "no signal on the chart" in said
    assert "Cp " not in said


def study_rows():
    item = published("gauge_studies", "msa-aiag-anova-table")
    for person, trials in item["inputs"]["appraiser_trial_part"].items():
        for readings in trials:
            for part, reading in enumerate(readings, 1):
                yield person, part, reading


def test_gauge_study_of_the_published_example(as_json, tmp_path):
    file = written(tmp_path, "study.csv", ("appraiser", "part", "reading"), study_rows())
    expected = published("gauge_studies", "msa-aiag-anova-pooled")["expected"]
    found = as_json("gauge", file, "--tolerance", 8)
    assert found["gauge"] ** 2 == pytest.approx(expected["grr_var"], rel=1e-6)
    assert found["part"] ** 2 == pytest.approx(expected["part_var"], rel=1e-6)
    share = published("gauge_studies", "msa-precision-to-tolerance")["expected"]["percent"]
    assert 100 * found["gauge_share_of_tolerance"] == pytest.approx(share, abs=0.3)
    ranges = as_json("gauge", file, "--method", "ranges")
    assert ranges["repeatability"] == pytest.approx(0.2018, abs=0.0005)


def test_gauge_of_decisions_names_no_appraiser(call, tmp_path):
    decisions = {"Ann": "ok ok ok nok nok", "Bob": "ok nok ok nok ok"}
    right = ["good", "good", "good", "bad", "bad"]
    rows = [
        (person, part, said, reference)
        for person, row in decisions.items()
        for part, (said, reference) in enumerate(zip(row.split(), right, strict=True))
    ]
    file = written(tmp_path, "judges.csv", ("appraiser", "part", "reading", "truth"), rows)
    said = call("gauge", file, "--reference", "truth")
    assert "appraiser 2: bad parts accepted" in said
    assert "1 of 2" in said
    assert "Bob" not in said + call("gauge", file, "--reference", "truth", "--json")


@pytest.fixture
def actions(tmp_path):
    """The remission times that every book on survival has, as a list of actions."""
    item = published("survival_corrective_actions", "km-6mp")["inputs"]
    end = date(2026, 3, 31)
    rows = []
    for days, event in zip(item["time"], item["event"], strict=True):
        opened = end - timedelta(days=days) if not event else date(2026, 1, 5)
        closed = (opened + timedelta(days=days)).strftime("%d.%m.%Y") if event else ""
        rows.append((opened.strftime("%d.%m.%Y"), closed, "containment" if days < 10 else "other"))
    return written(tmp_path, "actions.csv", ("raised", "closed", "kind"), rows)


def test_age_counts_what_is_still_open(as_json, call, actions):
    tokens = ("age", actions, "--opened", "raised", "--verified", "closed")
    found = as_json(*tokens, "--until", "2026-03-31")
    assert (found["n"], found["still_open"], found["median"]) == (21, 12, 23)
    expected = published("survival_corrective_actions", "km-6mp")["expected"]
    rows = [[row[k] for k in ("time", "at_risk", "closed", "open_share", "se")]
            for row in found["rows"]]  # fmt: skip
    for row, known in zip(rows, expected["rows_time_atrisk_events_S_greenwood_se"], strict=True):
        assert row == pytest.approx(known, rel=1e-6)
    said = call(*tokens, "--until", "2026-03-31", "--by", "kind")
    assert "Median of containment, days" in said
    with pytest.raises(WitnessmarkError, match="--until: some actions are still open"):
        call(*tokens)


def test_clock_gives_the_fix_to_enter(as_json, call, tmp_path):
    start = datetime(2026, 3, 2, 6, 0)  # noqa: DTZ001  # a wall clock
    off = [268, 275, 270, 271, 266, 272, 270, 270]
    rows = [
        (start + timedelta(hours=9 * n) + timedelta(seconds=s), start + timedelta(hours=9 * n))
        for n, s in enumerate(off)
    ]
    file = written(tmp_path, "pairs.csv", ("mes", "badge"), rows)
    tokens = ("clock", file, "--shown", "mes", "--true", "badge")
    assert as_json(*tokens)["fixes"][0]["offset_s"] == 270
    assert "valid_from 2026-03-02 06:04:28, offset_s 270" in call(*tokens)


def test_a_workbook_is_read_too(as_json, call, tmp_path):
    path = tmp_path / "study.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        for name in ("data", "notes"):
            sheet = book.add_worksheet(name)
            for row, value in enumerate(["flow", *FLOW]):
                sheet.write(row, 0, value)
    with pytest.raises(WitnessmarkError, match="several sheets hold data"):
        call("chart", path, "flow")
    found = as_json("chart", path, "flow", "--sheet", "data")
    assert found["location"]["points"] == FLOW


@pytest.mark.parametrize(
    "tokens",
    [
        ["could-miss", "0/30"],
        ["rate", "3/40"],
        ["effect", "12/30", "4/30"],
        ["tend", "--machines", "6", "--runs", "30", "--service", "5"],
        ["chart", "flow.csv", "Flow rate"],
        ["capability", "flow.csv", "Flow rate", "--lower", "40", "--upper", "60"],
    ],
)
def test_a_picture_is_written(call, flow, monkeypatch, tokens):
    monkeypatch.chdir(flow.parent)
    call(*tokens, "--picture", "it.svg")
    assert Path("it.svg").read_text(encoding="utf-8").startswith("<svg")


BROKEN = {
    "blank.csv": "no;x\n1;1,5\n2;\n3;2,5\n",
    "words.csv": "x;y\n1,5;a\nabout 2;b\n",
    "open.csv": "x\n1,234\n2,345\n",
    "again.csv": "s;x\na;1\nb;2\na;3\n",
    "uneven.csv": "part;appraiser;reading\n1;A;1\n1;A;2\n1;B;1\n",
    "two.csv": "opened;verified\n2026-03-02;2026-03-01\n",
    "order.csv": "opened;verified\n03.04.2026;05.06.2026\n",
    "named.csv": "operator;x\nAnn;1\n",
    "phase.csv": "events;exposure;phase\n1;2;during\n",
}
REFUSED = [
    (["size", "5"], "may be a share or a percentage. Needs 5% or a share below 1"),
    (["size", "half"], "is no share"),
    (["size", "5%", "--expecting", "1%", "--lot", "60"], "no --lot"),
    (["size", "5%", "--lot", "60", "--more-than", "5"], "3 deviations in a lot of 60"),
    (["could-miss", "31/30"], "x no larger than n"),
    (["could-miss", "thirty"], "number found and number looked at"),
    (["rate", "4 of 10", "--per", "5"], "the number of events alone"),
    (["rate", "4/10", "--lot", "20", "--census"], "different limits"),
    (["rate", "4/10", "--cluster-size", "5"], "--cluster-size and --correlation together"),
    (["rate", "4/10", "--design-effect", "0.5"], "a number of at least 1"),
    (["effect"], "nothing is given"),
    (["effect", "4/10"], "BEFORE and AFTER"),
    (["effect", "4/10", "1/5", "--confidence", "40%"], "between 0.5 and 1"),
    (["effect", "--periods", "phase.csv"], 'phase.csv, row 2, column "phase": "during"'),
    (["tend"], "nothing is given"),
    (["tend", "--work", "sweep=1x2", "--available", "53"], "kind=TIMESxMINUTES"),
    (["tend", "--runs", "30"], "--runs and --service"),
    (["tend", "nowhere.toml"], "there is no such file"),
    (["capacity", *map(str, CAPACITY)], "no demand is given"),
    (["capacity", "--quantity", "1", "--ideal", "1", "--demand-counts", "started",
      *map(str, CAPACITY)], "counted twice"),
    (["chart", "nowhere.csv", "x"], "there is no such file"),
    (["chart", "blank.csv", "z"], 'blank.csv: there is no column "z". Expected "no", "x".'),
    (["chart", "blank.csv", "x"], 'blank.csv, row 3, column "x": this cell is blank'),
    (["chart", "words.csv", "x"], 'words.csv, row 3, column "x": "about 2"'),
    (["chart", "open.csv", "x"], "nobody can tell the decimal mark"),
    (["chart", "again.csv", "x", "--subgroup", "s"], 'again.csv, row 4, column "s"'),
    (["chart", "again.csv", "x", "--size", "2"], "whole subgroups of at least 2"),
    (["chart", "again.csv", "x", "--kind", "p"], "a p chart needs it"),
    (["chart", "again.csv", "x", "--kind", "means-ranges"], "means need subgroups"),
    (["capability", "named.csv", "x", "--lower", "0", "--by", "operator"], "speaks of persons"),
    (["capability", "again.csv", "x", "--only", "s=c"], 'no row has the cell "c"'),
    (["gauge", "uneven.csv"], 'appraiser 2 has 1 readings of part "1". Expected 2'),
    (["gauge", "uneven.csv", "--reference", "part"], 'uneven.csv, row 3, column "reading": "2"'),
    (["age", "two.csv"], 'two.csv, row 2, column "verified": 2026-03-01 lies before'),
    (["age", "order.csv"], "no row proves it"),
    (["clock", "two.csv", "--shown", "opened", "--true", "verified"], "1 pair of events"),
    (["rate", "3/40", "--picture", "it.gif"], "it.gif"),
    (["size", "5%", "--expecting", "1%", "--picture", "it.svg"], "this result has no picture"),
]  # fmt: skip


@pytest.mark.parametrize(("tokens", "said"), REFUSED)
def test_bad_values_are_refused_with_their_place(call, tmp_path, monkeypatch, tokens, said):
    for name, text in BROKEN.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    with pytest.raises((WitnessmarkError, CycloptsError)) as refusal:
        call(*tokens)
    assert said in str(refusal.value)


@pytest.mark.parametrize("tokens", [["could-miss", "31/30"], ["size", "5"], ["rate", "--foo"]])
def test_a_refusal_ends_with_code_two_on_the_error_stream(tokens):
    done = subprocess.run([WITNESSMARK, *tokens], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr
    assert "Traceback" not in done.stderr


def test_every_command_has_its_help(capsys):
    for name in STATISTICS:
        app([name, "--help"], exit_on_error=False, result_action="return_value")
        assert f"witnessmark {name}" in capsys.readouterr().out


def test_help_loads_no_statistic():
    code = (
        "import sys; from witnessmark.cli import app; "
        "app(['--help'], result_action='return_value'); "
        "sys.exit('scipy' in sys.modules or 'duckdb' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert done.returncode == 0


def test_age_of_a_frozen_folder_counts_moved_dates(as_json, call, tmp_path):
    folder = tmp_path / "exports"
    folder.mkdir()
    (folder / "plant.toml").write_text(
        'zone = "Europe/Berlin"\nperiod_from = 2026-03-01\nperiod_to = 2026-03-31\n',
        encoding="utf-8",
    )
    head = "action_id,concern_id,kind,text,opened_at,verified_at"
    lines = [
        "a1,k1,corrective,x,2026-03-02 08:00,2026-03-07 08:00",
        "a2,k2,corrective,x,2026-03-02 08:00,2026-03-10 08:00",
        "a3,k3,containment,x,2026-03-20 00:00,",
        "a4,k4,containment,x,2026-03-02 08:00,2026-04-20 08:00",
        "a5,k5,containment,x,,2026-03-20 08:00",
    ]
    (folder / "actions.csv").write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
    (folder / "action_changes.csv").write_text(
        "action_id,changed_at,field,old,new\n"
        "a1,2026-03-03 08:00,due_on,2026-03-05,2026-03-07\n"
        "a1,2026-03-04 08:00,due_on,2026-03-07,2026-03-09\n"
        "a2,2026-03-04 08:00,due_on,,2026-03-09\n",
        encoding="utf-8",
    )
    found = as_json("age", folder)
    assert (found["curve"]["n"], found["curve"]["closed"]) == (4, 2)
    assert [row["time"] for row in found["curve"]["rows"]] == [5, 8]
    assert (found["redated"]["redated"], found["redated"]["n"]) == (1, 5)
    (frozen,) = (folder / ".witnessmark").iterdir()
    said = " ".join(call("age", frozen, "--by", "kind", "--until", "2026-03-31").split())
    assert "Left out: no date of opening 1" in said
    assert "Median of corrective, days 5" in said
    assert "Median of containment, days not reached" in said
    with pytest.raises(WitnessmarkError, match="one of kind, owner_role"):
        call("age", folder, "--by", "text")


@pytest.mark.parametrize("example", [example for _, example in STATISTICS.values()])
def test_the_example_of_every_command_is_one(example):
    command, bound, _ = app.parse_args(example.split(), exit_on_error=False)
    assert command.__module__ == f"witnessmark.cli.{example.split()[0].replace('-', '_')}"
    assert bound.arguments

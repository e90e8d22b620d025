"""Six record tests as a practitioner writes them in a pandas notebook, over the frozen Parquet.

Each gives the number of exceptions. They hold for this plant, where every check names its run,
every plan line asks for the same interval and a machine stands only where a stoppage says so; they
build nothing in advance and guarantee nothing. This module knows nothing of Witnessmark.
"""

from pathlib import Path

import numpy as np
import pandas as pd

DELTA_S = 120
LIMIT_S = 2400
STOPPED_S = 1800
LATE_S = 1800
REACTION_S = 3600


def read(folder: Path, table: str, *columns: str) -> pd.DataFrame:
    """The columns of a frozen table."""
    return pd.read_parquet(folder / f"{table}.parquet", columns=list(columns))


def seconds(span: pd.Series) -> pd.Series:
    """Time spans in seconds."""
    return span.dt.total_seconds()


def stops_of(folder: Path) -> pd.DataFrame:
    """Stoppages by time, with the seconds stopped on the machine before each."""
    stops = read(folder, "stoppages", "machine_id", "start_at", "end_at").sort_values("start_at")
    stops["length_s"] = seconds(stops.end_at - stops.start_at)
    stops["before_s"] = stops.groupby("machine_id").length_s.cumsum() - stops.length_s
    return stops.rename(columns={"start_at": "stop_at"})


def with_stopped(rows: pd.DataFrame, at: str, stops: pd.DataFrame) -> pd.DataFrame:
    """The rows by time, with `stopped_s` (on the machine so far) and `standing_s` (this stop)."""
    rows = rows.sort_values(at)
    stops = stops[["machine_id", "stop_at", "length_s", "before_s"]]
    rows = pd.merge_asof(rows, stops, left_on=at, right_on="stop_at", by="machine_id")
    since = seconds(rows[at] - rows.stop_at)
    rows["stopped_s"] = (rows.before_s + np.minimum(since, rows.length_s)).fillna(0)
    rows["standing_s"] = since.where(since < rows.length_s)
    return rows.drop(columns=["stop_at", "length_s", "before_s"])


def check_interval_exceeded(folder: Path) -> int:
    """Gaps between completed checks of a line longer, in running time, than interval and grace."""
    checks = read(folder, "checks", "check_id", "run_id", "machine_id", "done_at")
    measured = read(folder, "measurements", "check_id", "line", "value").dropna(subset="value")
    lines = measured[["check_id", "line"]].drop_duplicates()
    checks = lines.merge(checks, on="check_id").drop(columns="check_id")
    runs = read(folder, "runs", "run_id", "machine_id", "part_no", "start_at", "end_at")
    setups = read(folder, "setups", "machine_id", "to_part", "start_at", "released_at")
    setups = setups.rename(columns={"start_at": "setup_at", "to_part": "part_no"})
    runs = pd.merge_asof(
        runs.sort_values("start_at"),
        setups.sort_values("setup_at"),
        left_on="start_at", right_on="setup_at", by=["machine_id", "part_no"],
    )  # fmt: skip
    runs["from_at"] = runs[["start_at", "released_at"]].max(axis=1)
    checks = checks.merge(runs[["run_id", "from_at", "end_at"]], on="run_id")
    checks = checks[(checks.done_at > checks.from_at) & (checks.done_at <= checks.end_at)]
    plan = read(folder, "control_plan_lines", "part_no", "line")
    due = runs.merge(plan, on="part_no")
    columns = ["run_id", "line", "machine_id", "done_at"]
    points = pd.concat([
        due.rename(columns={"from_at": "done_at"})[columns],
        checks[columns],
        due.rename(columns={"end_at": "done_at"})[columns],
    ])  # fmt: skip
    points = with_stopped(points, "done_at", stops_of(folder))
    points = points.sort_values(["run_id", "line", "done_at"], kind="stable")
    by_line = points.groupby(["run_id", "line"], sort=False)
    ran_s = seconds(by_line.done_at.diff()) - by_line.stopped_s.diff()
    return int((ran_s > LIMIT_S).sum())


def late_entry(folder: Path) -> int:
    """Checks entered too long after, or before, they were done."""
    checks = read(folder, "checks", "done_at", "entered_at")
    delay = seconds(checks.entered_at - checks.done_at)
    return int(((delay > LATE_S) | (delay < -DELTA_S)).sum())


def gauge_overdue(folder: Path) -> int:
    """Measurements with a gauge that was past its due date, or found out."""
    measured = read(folder, "measurements", "check_id", "gauge_id").dropna(subset="gauge_id")
    checks = read(folder, "checks", "check_id", "done_at")
    done = read(folder, "calibrations", "gauge_id", "done_on", "verdict", "next_due")
    done["done_on"] = pd.to_datetime(done.done_on).astype("datetime64[us]")
    done["next_due"] = pd.to_datetime(done.next_due).astype("datetime64[us]")
    rows = measured.merge(checks, on="check_id").dropna(subset="done_at").sort_values("done_at")
    rows = pd.merge_asof(
        rows, done.sort_values("done_on"), left_on="done_at", right_on="done_on", by="gauge_id"
    )
    overdue = rows.done_at >= rows.next_due + pd.Timedelta(days=1)
    return int((overdue | (rows.verdict == "out")).sum())


def reaction_missing(folder: Path) -> int:
    """Measurements out of limits without a reaction within the running time allowed."""
    measured = read(folder, "measurements", "check_id", "line", "value")
    checks = read(folder, "checks", "check_id", "run_id", "machine_id", "part_no", "done_at")
    plan = read(folder, "control_plan_lines", "part_no", "line", "lower_limit", "upper_limit")
    rows = measured.merge(checks, on="check_id").merge(plan, on=["part_no", "line"])
    out = rows[(rows.value < rows.lower_limit) | (rows.value > rows.upper_limit)]
    again = rows[["run_id", "line", "check_id", "done_at"]].drop_duplicates()
    again = again.rename(columns={"check_id": "other_id", "done_at": "again_at"})
    out = pd.merge_asof(
        out.sort_values("done_at"), again.sort_values("again_at"), left_on="done_at",
        right_on="again_at", by=["run_id", "line"], direction="forward", allow_exact_matches=False,
    )  # fmt: skip
    out = pd.merge_asof(
        out, reactions(folder), left_on="done_at", right_on="reacted_at", by="machine_id",
        direction="forward",
    )  # fmt: skip
    end = pd.Timestamp(2026, 1, 1)
    out["until_at"] = out[["again_at", "reacted_at"]].min(axis=1).fillna(end)
    return int((running_between(folder, out) > REACTION_S).sum())


def reactions(folder: Path) -> pd.DataFrame:
    """Everything on record that counts as a reaction on a machine, by time."""
    events = read(folder, "process_events", "machine_id", "happened_at")
    stops = read(folder, "stoppages", "machine_id", "start_at", "reason", "planned")
    stops = stops[stops.reason.notna() & ~stops.planned.fillna(value=False).astype(bool)]
    holds = read(folder, "holds", "machine_id", "placed_at")
    found = pd.concat([
        events.rename(columns={"happened_at": "reacted_at"}),
        stops[["machine_id", "start_at"]].rename(columns={"start_at": "reacted_at"}),
        holds.rename(columns={"placed_at": "reacted_at"}),
    ])  # fmt: skip
    return found.sort_values("reacted_at")


def running_between(folder: Path, rows: pd.DataFrame) -> pd.Series:
    """Seconds that the machine ran from `done_at` until `until_at`."""
    runs = read(folder, "runs", "machine_id", "start_at", "end_at").sort_values("start_at")
    runs["length_s"] = seconds(runs.end_at - runs.start_at)
    runs["before_s"] = runs.groupby("machine_id").length_s.cumsum() - runs.length_s
    rows = rows.reset_index(drop=True)
    rows["row"] = rows.index
    ran = {}
    for at in ("done_at", "until_at"):
        found = with_stopped(rows[["row", "machine_id", at]], at, stops_of(folder))
        found = pd.merge_asof(found, runs, left_on=at, right_on="start_at", by="machine_id")
        inside = np.minimum(seconds(found[at] - found.start_at), found.length_s)
        found["ran_s"] = (found.before_s + inside).fillna(0) - found.stopped_s
        ran[at] = found.set_index("row").ran_s.sort_index()
    return ran["until_at"] - ran["done_at"]


def last_off_late(folder: Path) -> int:
    """Last-offs after the next set-up began, after their lot left or after the end of the shift."""
    checks = read(folder, "checks", "run_id", "kind", "done_at")
    offs = checks[checks.kind == "last-off"].groupby("run_id").done_at.min().rename("off_at")
    runs = read(folder, "runs", "run_id", "machine_id", "part_no", "end_at")
    rows = runs.merge(offs, on="run_id")
    rows["from_at"] = rows.end_at - pd.Timedelta(seconds=DELTA_S)
    setups = read(folder, "setups", "machine_id", "start_at").rename(
        columns={"start_at": "next_at"}
    )
    rows = pd.merge_asof(
        rows.sort_values("from_at"), setups.sort_values("next_at"), left_on="from_at",
        right_on="next_at", by="machine_id", direction="forward",
    )  # fmt: skip
    machines = read(folder, "machines", "machine_id", "area")
    shifts = read(folder, "shift_instances", "area", "start_at", "end_at")
    shifts = shifts.rename(columns={"end_at": "shift_end_at"}).sort_values("start_at")
    rows = pd.merge_asof(
        rows.merge(machines, on="machine_id").sort_values("end_at"), shifts, left_on="end_at",
        right_on="start_at", by="area", allow_exact_matches=False,
    )  # fmt: skip
    rows = rows.merge(left_at(folder, rows), on="run_id", how="left")
    latest = rows.off_at - pd.Timedelta(seconds=DELTA_S)
    late = (latest > rows.next_at) | (latest > rows.shift_end_at) | (latest > rows.left_at)
    return int(late.sum())


def left_at(folder: Path, rows: pd.DataFrame) -> pd.Series:
    """When the first of the lots open at the end of each run left."""
    lots = read(
        folder, "lots", "lot_no", "machine_id", "part_no", "opened_at", "closed_at", "moved_at"
    )
    links = read(folder, "lot_links", "from_lot", "linked_at").groupby("from_lot").linked_at.min()
    sent = read(folder, "shipment_lines", "lot_no", "shipped_at").groupby("lot_no").shipped_at.min()
    lots = lots.merge(links, left_on="lot_no", right_index=True, how="left")
    lots = lots.merge(sent, left_on="lot_no", right_index=True, how="left")
    lots["left_at"] = lots[["moved_at", "linked_at", "shipped_at"]].min(axis=1)
    lots = rows[["run_id", "machine_id", "part_no", "end_at", "from_at"]].merge(
        lots, on=["machine_id", "part_no"]
    )
    is_open = lots.closed_at.isna() | (lots.closed_at >= lots.from_at)
    return lots[(lots.opened_at <= lots.end_at) & is_open].groupby("run_id").left_at.min()


def check_while_stopped(folder: Path) -> int:
    """Checks on a machine that had stood for long and not run since the check before."""
    checks = read(folder, "checks", "machine_id", "run_id", "kind", "done_at")
    runs = read(folder, "runs", "run_id", "start_at")
    rows = with_stopped(checks.merge(runs, on="run_id"), "done_at", stops_of(folder))
    rows = rows.sort_values(["machine_id", "done_at"], kind="stable")
    by_machine = rows.groupby("machine_id", sort=False)
    before_at = by_machine.done_at.shift()
    ran_s = seconds(rows.done_at - before_at) - (rows.stopped_s - by_machine.stopped_s.shift())
    found = (rows.kind != "last-off") & (ran_s == 0) & (before_at >= rows.start_at)
    return int((found & (rows.standing_s >= STOPPED_S)).sum())


TESTS = {
    "check-interval-exceeded": check_interval_exceeded,
    "late-entry": late_entry,
    "gauge-overdue": gauge_overdue,
    "reaction-missing": reaction_missing,
    "last-off-late": last_off_late,
    "check-while-stopped": check_while_stopped,
}

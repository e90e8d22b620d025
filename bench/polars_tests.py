"""The same six record tests as a practitioner writes them in Polars, lazy, over the same Parquet.

What `pandas_tests` says of itself holds here too. This module knows nothing of Witnessmark.
"""

from datetime import datetime, timedelta
from pathlib import Path

import polars as pl

DELTA = timedelta(seconds=120)
LIMIT_S = 2400
STOPPED_S = 1800
LATE_S = 1800
REACTION_S = 3600


def scan(folder: Path, table: str) -> pl.LazyFrame:
    """A frozen table."""
    return pl.scan_parquet(folder / f"{table}.parquet")


def seconds(span: pl.Expr) -> pl.Expr:
    """Time spans in seconds."""
    return span.dt.total_seconds()


def count(rows: pl.LazyFrame, mark: pl.Expr) -> int:
    """How many rows the mark holds for."""
    return int(rows.select(mark.fill_null(value=False).sum()).collect().item())


def with_stopped(rows: pl.LazyFrame, at: str, folder: Path) -> pl.LazyFrame:
    """The rows by time, with `stopped_s` (on the machine so far) and `standing_s` (this stop)."""
    length_s = seconds(pl.col("end_at") - pl.col("start_at"))
    stops = (
        scan(folder, "stoppages")
        .sort("start_at")
        .select(
            "machine_id",
            stop_at="start_at",
            length_s=length_s,
            before_s=length_s.cum_sum().over("machine_id") - length_s,
        )
    )
    since = seconds(pl.col(at) - pl.col("stop_at"))
    stopped_s = pl.col("before_s") + pl.min_horizontal(since, pl.col("length_s"))
    return (
        rows.sort(at)
        .join_asof(stops, left_on=at, right_on="stop_at", by="machine_id", check_sortedness=False)
        .with_columns(
            stopped_s=pl.when(pl.col("stop_at").is_null()).then(0).otherwise(stopped_s),
            standing_s=pl.when(since < pl.col("length_s")).then(since),
        )
        .drop("stop_at", "length_s", "before_s")
    )


def check_interval_exceeded(folder: Path) -> int:
    """Gaps between completed checks of a line longer, in running time, than interval and grace."""
    measured = scan(folder, "measurements").filter(pl.col("value").is_not_null())
    lines = measured.select("check_id", "line").unique()
    checks = scan(folder, "checks").select("check_id", "run_id", "machine_id", "done_at")
    setups = (
        scan(folder, "setups")
        .select("machine_id", "released_at", part_no="to_part", setup_at="start_at")
        .sort("setup_at")
    )
    runs = (
        scan(folder, "runs")
        .select("run_id", "machine_id", "part_no", "start_at", "end_at")
        .sort("start_at")
        .join_asof(
            setups, left_on="start_at", right_on="setup_at", by=["machine_id", "part_no"],
            check_sortedness=False,
        )
        .with_columns(from_at=pl.max_horizontal("start_at", "released_at"))
    )  # fmt: skip
    placed = (
        lines.join(checks, on="check_id")
        .join(runs.select("run_id", "from_at", "end_at"), on="run_id")
        .filter(pl.col("done_at") > pl.col("from_at"), pl.col("done_at") <= pl.col("end_at"))
    )
    due = runs.join(scan(folder, "control_plan_lines").select("part_no", "line"), on="part_no")
    columns = ["run_id", "line", "machine_id", "done_at"]
    points = pl.concat([
        due.select("run_id", "line", "machine_id", done_at="from_at"),
        placed.select(columns),
        due.select("run_id", "line", "machine_id", done_at="end_at"),
    ])  # fmt: skip
    points = with_stopped(points, "done_at", folder).sort("run_id", "line", "done_at")
    ran_s = seconds(pl.col("done_at").diff()) - pl.col("stopped_s").diff()
    same = (pl.col("run_id") == pl.col("run_id").shift()) & (
        pl.col("line") == pl.col("line").shift()
    )
    return count(points, same & (ran_s > LIMIT_S))


def late_entry(folder: Path) -> int:
    """Checks entered too long after, or before, they were done."""
    delay = pl.col("entered_at") - pl.col("done_at")
    late = (delay > timedelta(seconds=LATE_S)) | (delay < -DELTA)
    return count(scan(folder, "checks"), late)


def gauge_overdue(folder: Path) -> int:
    """Measurements with a gauge that was past its due date, or found out."""
    done = (
        scan(folder, "calibrations")
        .select(
            "gauge_id",
            "verdict",
            done_at_day=pl.col("done_on").cast(pl.Datetime("us")),
            lapses_at=pl.col("next_due").cast(pl.Datetime("us")) + timedelta(days=1),
        )
        .sort("done_at_day")
    )
    rows = (
        scan(folder, "measurements")
        .select("check_id", "gauge_id")
        .filter(pl.col("gauge_id").is_not_null())
        .join(scan(folder, "checks").select("check_id", "done_at"), on="check_id")
        .sort("done_at")
        .join_asof(
            done, left_on="done_at", right_on="done_at_day", by="gauge_id", check_sortedness=False
        )
    )
    overdue = (pl.col("done_at") >= pl.col("lapses_at")).fill_null(value=False)
    return count(rows, overdue | (pl.col("verdict") == "out"))


def reaction_missing(folder: Path) -> int:
    """Measurements out of limits without a reaction within the running time allowed."""
    checks = scan(folder, "checks").select("check_id", "run_id", "machine_id", "part_no", "done_at")
    plan = scan(folder, "control_plan_lines")
    plan = plan.select("part_no", "line", "lower_limit", "upper_limit")
    measured = scan(folder, "measurements").select("check_id", "line", "value")
    rows = measured.join(checks, on="check_id").join(plan, on=["part_no", "line"])
    out = rows.filter(
        (pl.col("value") < pl.col("lower_limit")) | (pl.col("value") > pl.col("upper_limit"))
    ).collect()
    again = (
        measured.select("check_id", "line").unique()
        .join(checks, on="check_id")
        .join(out.lazy().select("run_id", "line").unique(), on=["run_id", "line"], how="semi")
        .select("run_id", "line", again_at="done_at")
        .sort("again_at")
    )  # fmt: skip
    end = datetime(2026, 1, 1)  # noqa: DTZ001  # the frozen tables hold UTC without a zone
    found = (
        out.lazy()
        .with_row_index("row")
        .sort("done_at")
        .join_asof(
            again, left_on="done_at", right_on="again_at", by=["run_id", "line"],
            strategy="forward", allow_exact_matches=False, check_sortedness=False,
        )
        .join_asof(
            reactions(folder), left_on="done_at", right_on="reacted_at", by="machine_id",
            strategy="forward", check_sortedness=False,
        )
        .with_columns(until_at=pl.min_horizontal("again_at", "reacted_at").fill_null(end))
    )  # fmt: skip
    begun, ended = (running_at(folder, found, at) for at in ("done_at", "until_at"))
    both = begun.join(ended, on="row", suffix="_until")
    return count(both, pl.col("ran_s_until") - pl.col("ran_s") > REACTION_S)


def reactions(folder: Path) -> pl.LazyFrame:
    """Everything on record that counts as a reaction on a machine, by time."""
    stops = scan(folder, "stoppages").filter(
        pl.col("reason").is_not_null(), ~pl.col("planned").fill_null(value=False)
    )
    return pl.concat([
        scan(folder, "process_events").select("machine_id", reacted_at="happened_at"),
        stops.select("machine_id", reacted_at="start_at"),
        scan(folder, "holds").select("machine_id", reacted_at="placed_at"),
    ]).sort("reacted_at")  # fmt: skip


def running_at(folder: Path, rows: pl.LazyFrame, at: str) -> pl.LazyFrame:
    """Seconds that the machine had run so far at that time, by `row`."""
    length_s = seconds(pl.col("end_at") - pl.col("start_at"))
    runs = (
        scan(folder, "runs")
        .sort("start_at")
        .select(
            "machine_id",
            run_at="start_at",
            run_s=length_s,
            run_before_s=length_s.cum_sum().over("machine_id") - length_s,
        )
    )
    inside = pl.min_horizontal(seconds(pl.col(at) - pl.col("run_at")), pl.col("run_s"))
    return (
        with_stopped(rows.select("row", "machine_id", at), at, folder)
        .join_asof(runs, left_on=at, right_on="run_at", by="machine_id", check_sortedness=False)
        .select(
            "row",
            ran_s=pl.when(pl.col("run_at").is_null()).then(0).otherwise(
                pl.col("run_before_s") + inside
            ) - pl.col("stopped_s"),
        )
    )  # fmt: skip


def last_off_late(folder: Path) -> int:
    """Last-offs after the next set-up began, after their lot left or after the end of the shift."""
    offs = (
        scan(folder, "checks")
        .filter(pl.col("kind") == "last-off")
        .group_by("run_id")
        .agg(off_at=pl.col("done_at").min())
    )
    setups = scan(folder, "setups").select("machine_id", next_at="start_at").sort("next_at")
    shifts = scan(folder, "shift_instances").select(
        "area", shift_at="start_at", shift_end_at="end_at"
    )
    rows = (
        scan(folder, "runs")
        .select("run_id", "machine_id", "part_no", "end_at", from_at=pl.col("end_at") - DELTA)
        .join(offs, on="run_id")
        .join(scan(folder, "machines").select("machine_id", "area"), on="machine_id")
        .sort("from_at")
        .join_asof(
            setups, left_on="from_at", right_on="next_at", by="machine_id", strategy="forward",
            check_sortedness=False,
        )
        .sort("end_at")
        .join_asof(
            shifts.sort("shift_at"), left_on="end_at", right_on="shift_at", by="area",
            allow_exact_matches=False, check_sortedness=False,
        )
    )  # fmt: skip
    rows = rows.join(left_at(folder, rows), on="run_id", how="left")
    latest = pl.col("off_at") - DELTA
    ends = [pl.col(name).fill_null(latest) for name in ("next_at", "shift_end_at", "left_at")]
    return count(rows, pl.any_horizontal(latest > end for end in ends))


def left_at(folder: Path, rows: pl.LazyFrame) -> pl.LazyFrame:
    """When the first of the lots open at the end of each run left."""
    links = scan(folder, "lot_links").group_by(lot_no="from_lot").agg(pl.col("linked_at").min())
    sent = scan(folder, "shipment_lines").group_by("lot_no").agg(pl.col("shipped_at").min())
    return (
        scan(folder, "lots")
        .select("lot_no", "machine_id", "part_no", "opened_at", "closed_at", "moved_at")
        .join(links, on="lot_no", how="left")
        .join(sent, on="lot_no", how="left")
        .join(rows, on=["machine_id", "part_no"])
        .filter(
            pl.col("opened_at") <= pl.col("end_at"),
            pl.col("closed_at").is_null() | (pl.col("closed_at") >= pl.col("from_at")),
        )
        .group_by("run_id")
        .agg(left_at=pl.min_horizontal("moved_at", "linked_at", "shipped_at").min())
    )


def check_while_stopped(folder: Path) -> int:
    """Checks on a machine that had stood for long and not run since the check before."""
    checks = scan(folder, "checks").select("machine_id", "run_id", "kind", "done_at")
    runs = scan(folder, "runs").select("run_id", "start_at")
    rows = with_stopped(checks.join(runs, on="run_id"), "done_at", folder)
    rows = rows.sort("machine_id", "done_at")
    before_at = pl.col("done_at").shift()
    ran_s = seconds(pl.col("done_at") - before_at) - pl.col("stopped_s").diff()
    found = (
        (pl.col("machine_id") == pl.col("machine_id").shift())
        & (pl.col("kind") != "last-off")
        & (ran_s == 0)
        & (before_at >= pl.col("start_at"))
    )
    return count(rows, found & (pl.col("standing_s") >= STOPPED_S))


TESTS = {
    "check-interval-exceeded": check_interval_exceeded,
    "late-entry": late_entry,
    "gauge-overdue": gauge_overdue,
    "reaction-missing": reaction_missing,
    "last-off-late": last_off_late,
    "check-while-stopped": check_while_stopped,
}

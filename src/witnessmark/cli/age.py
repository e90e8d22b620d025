"""`witnessmark age`: how long actions stay open, those still open counted."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from witnessmark.cli.opened import opened
from witnessmark.cli.reading import AS_WRITTEN, Reading, refuse_persons
from witnessmark.cli.stated import PLAIN, Figure, Output, between, in_percent, state
from witnessmark.cli.values import Share
from witnessmark.errors import Fault, UnusableInputError, Where
from witnessmark.report.charts import About
from witnessmark.stats.logrank import logrank
from witnessmark.stats.redated import redated_share
from witnessmark.stats.result import Stated
from witnessmark.stats.survival import SurvivalCurve, survival_curve

DAY = timedelta(days=1)
GROUPS = ("kind", "owner_role")


@dataclass(frozen=True)
class Action:
    """One action: when it was opened, when its closure was verified, to which group it belongs."""

    opened: datetime | None
    verified: datetime | None
    group: str = ""


@dataclass(frozen=True)
class Actions:
    """The actions of a folder or a file.

    Args:
        rows: Each action.
        end: Where the data end: what is open then is still open.
        redated: Actions whose due date was moved; None where no changes are recorded.
        zone: The plant's zone, where times are UTC.
    """

    rows: Sequence[Action]
    end: datetime | None
    redated: int | None = None
    zone: ZoneInfo | None = None


def run(
    path: Path,
    *,
    opened: str = "opened",
    verified: str = "verified",
    by: str | None = None,
    until: date | None = None,
    confidence: Share = 0.95,
    reading: Reading = AS_WRITTEN,
    output: Output = PLAIN,
) -> None:
    """Say how long actions stay open until their closure is verified.

    Args:
        path: Folder of exports, its freeze, or a CSV, XLSX or Parquet file.
        opened: Of a file: column of the date of opening.
        verified: Of a file: column of the date of the verified closure; blank means still open.
        by: Groups to compare: kind or owner_role of a folder, a column of a file.
        until: Last day of the data; of a folder, default the last of its period.
        confidence: Two-sided confidence of the limits: 95% or 0.95.
        reading: How the file is read.
        output: How the result leaves the command.
    """
    known = _of_folder(path, by) if path.is_dir() else _of_file(path, opened, verified, by, reading)
    end = _end_of(until, known) if until else known.end
    usable, left_out = _usable(known.rows, end)
    curve = survival_curve(*_days(usable, end), confidence)
    results: dict[str, Stated] = {"curve": curve}
    figures = [*_figures(curve), *left_out.items()]
    if known.redated is not None and known.rows:
        moved = redated_share(known.redated, len(known.rows), confidence=confidence)
        results["redated"] = moved
        limits = between(in_percent(moved.lower), in_percent(moved.upper))
        figures.append(("Due date moved", f"{moved.redated} of {moved.n} ({limits})"))
    if by is not None:
        names = sorted({action.group for action in usable})
        groups = [[action for action in usable if action.group == name] for name in names]
        for name, members in zip(names, groups, strict=True):
            one = survival_curve(*_days(members, end), confidence)
            figures.append((f"Median of {name}, days", _median(one)))
        if len(groups) > 1:
            results["groups"] = logrank([_days(members, end) for members in groups], names)
    still_open, closed = _days(usable, end)
    ages = tuple(age for age, ended in zip(still_open, closed, strict=True) if not ended)
    state(results if len(results) > 1 else curve, figures, output, About(values=ages))


def _of_folder(path: Path, by: str | None) -> Actions:
    if by is not None and by not in GROUPS:
        raise UnusableInputError.one(Where("--by"), f'"{by}".', "one of " + ", ".join(GROUPS))
    with opened(path) as frozen:
        store = frozen.timeline.store
        for column in ("opened_at", "verified_at", *([by] if by else [])):
            if not store.has("actions", column):
                raise UnusableInputError.one(
                    Where("actions"), f"the folder gives no {column}.", "the list of actions"
                )
        con = store.con
        rows = con.execute(
            f"select opened_at, verified_at, {by or 'null'} from actions order by action_id"
        ).fetchall()
        period = con.execute("select ends_at from period").fetchone()
        moved = None
        if store.has("action_changes"):
            changed = con.execute(
                "select count(distinct action_id) from action_changes "
                "inner join actions using (action_id) where field = 'due_on' "
                "and action_changes.old is not null "
                "and action_changes.old is distinct from action_changes.new"
            ).fetchone()
            moved = int(changed[0]) if changed else None
    actions = [Action(at, end, str(group or "not known")) for at, end, group in rows]
    return Actions(actions, period[0] if period else None, moved, store.zone)


def _of_file(
    path: Path, opened_column: str, verified_column: str, by: str | None, reading: Reading
) -> Actions:
    study = reading.read(path)
    if by is not None:
        refuse_persons("--by", by)
    groups = study.texts(by) if by else [""] * len(study.rows)
    starts = [_plain(at) for at in study.times(opened_column)]
    ends = [_plain(at) for at in study.times(verified_column, may_be_blank=True)]
    faults = [
        Fault(
            replace(study.where, row=row, column=verified_column),
            f"{end:%Y-%m-%d} lies before the opening on {start:%Y-%m-%d}.",
        )
        for (row, _), start, end in zip(study.rows, starts, ends, strict=True)
        if start is not None and end is not None and end < start
    ]
    if faults:
        raise UnusableInputError(faults)
    rows = [Action(*known) for known in zip(starts, ends, groups, strict=True)]
    return Actions(rows, None)


def _plain(at: datetime | None) -> datetime | None:
    """A time without its offset: days are counted, and one column has one zone or offsets."""
    return at.astimezone(UTC).replace(tzinfo=None) if at is not None and at.tzinfo else at


def _end_of(day: date, known: Actions) -> datetime:
    """The end of a day; where only days are recorded, the day itself."""
    times = [at for action in known.rows for at in (action.opened, action.verified) if at]
    has_hours = known.zone is not None or any(at.time() != time() for at in times)
    end = datetime.combine(day, time()) + (DAY if has_hours else timedelta())
    if known.zone is None:
        return end
    return end.replace(tzinfo=known.zone).astimezone(UTC).replace(tzinfo=None)


def _usable(rows: Sequence[Action], end: datetime | None) -> tuple[list[Action], dict[str, int]]:
    """The actions that can be counted, and why others cannot."""
    if end is None and any(action.verified is None for action in rows):
        raise UnusableInputError.one(
            Where("--until"),
            "some actions are still open, and nothing says when the data end.",
            "the last day on which the list was kept, such as 2026-03-31",
        )
    usable, left_out = [], Counter[str]()
    for action in rows:
        if action.opened is None:
            left_out["Left out: no date of opening"] += 1
        elif end is not None and action.opened > end:
            left_out["Left out: opened after the end of the data"] += 1
        elif action.verified is not None and action.verified < action.opened:
            left_out["Left out: verified before it was opened"] += 1
        else:
            usable.append(action)
    return usable, dict(left_out)


def _days(actions: Sequence[Action], end: datetime | None) -> tuple[list[float], list[bool]]:
    """Days open, and whether closed by the end of the data."""
    days, closed = [], []
    for action in actions:
        if action.opened is None:
            continue
        ended = action.verified is not None and (end is None or action.verified <= end)
        last = action.verified if ended else end
        if last is not None:
            days.append((last - action.opened) / DAY)
            closed.append(ended)
    return days, closed


def _median(curve: SurvivalCurve) -> float | str:
    return "not reached" if curve.median is None else round(curve.median, 2)


def _figures(curve: SurvivalCurve) -> list[Figure]:
    upper = curve.median_upper
    reached = curve.median is not None and curve.median_lower is not None
    limits = between(curve.median_lower, upper) if reached else None
    return [
        ("Actions", curve.n),
        ("Closed with verification", curve.closed),
        ("Still open", curve.still_open),
        ("Median until verified, days", _median(curve)),
        ("Limits", limits),
        ("Longest seen, days", round(curve.longest, 2)),
    ]

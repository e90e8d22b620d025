"""What a same-day extract says of one machine at a minute: facts for its card, as plain values.

People appear by role only. Judges nothing; this minute is an argument.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from witnessmark.audit.records_then import RecordsThen, aware, naive

GAUGES_BACK = timedelta(days=30)
"""A gauge used on the machine within thirty days counts as one of its gauges."""
CLOCKED = ("running-time", "clock-time")


@dataclass(frozen=True)
class SetUp:
    """The last set-up."""

    setup_id: str
    part: str
    start_at: datetime
    released_at: datetime | None


@dataclass(frozen=True)
class Due:
    """A check that falls due by time.

    Args:
        line: Line of the control plan.
        basis: Running time or clock time.
        left_min: Minutes until it is due, negative once it is over.
        since: Since when that is counted.
    """

    line: str
    basis: str
    left_min: int
    since: datetime


@dataclass(frozen=True)
class GaugeDue:
    """A gauge of the machine and until when it is in date; None where that is not recorded."""

    gauge_id: str
    next_due: date | None


class MachineNow:
    """Asks an extract of one machine.

    Args:
        records: The extract.
        machine: The machine.
        at: The minute.
    """

    def __init__(self, records: RecordsThen, machine: str, at: datetime) -> None:
        self.records = records
        self.machine = machine
        self.at = at
        self.machine_ix = records.machine_ix(machine)

    def set_up(self) -> SetUp | None:
        """The last set-up that had begun."""
        found = self.records.rows(
            "select setup_id, to_part, start_at, released_at from setups "
            "where machine_id = $machine and start_at <= $at order by start_at desc, setup_id desc "
            "limit 1",
            machine=self.machine,
            at=naive(self.at),
        )
        if not found:
            return None
        setup_id, part, start, released = found[0]
        known = released is not None and aware(released) <= self.at
        return SetUp(setup_id, part, aware(start), aware(released) if known else None)

    def last_check(self) -> tuple[str, str, str, datetime] | None:
        """Id, kind, result and time of the last completed check."""
        found = self.records.rows(
            "select check_id, kind, result, done_at from checks "
            "where machine_id = $machine and done_at <= $at and result <> 'incomplete' "
            "order by done_at desc, check_id desc limit 1",
            machine=self.machine,
            at=naive(self.at),
        )
        return (*found[0][:3], aware(found[0][3])) if found else None

    def due(self) -> list[Due] | None:
        """Checks due by time in the run of this minute, the next first; None without a run."""
        self.records.timeline.require({"merged_runs", "due_lines", "placed_checks", "clock_steps"})
        at = naive(self.at)
        run = self.records.rows(
            "select run_ix, start_at from merged_runs where machine_ix = $machine "
            "and start_at <= $at and end_at > $at order by start_at desc limit 1",
            machine=self.machine_ix,
            at=at,
        )
        if not run:
            return None
        found = self.records.rows(
            "select lines.line, due.basis, due.interval_s, max(checks.done_at) "
            "from due_lines as due "
            "inner join control_plan_lines as lines on due.line_ix = lines.row_ix "
            "left join placed_checks as checks on due.run_ix = checks.run_ix "
            "and due.plan_line_ix = checks.plan_line_ix and checks.completed "
            "and checks.done_at <= $at "
            "where due.run_ix = $run and due.from_at <= $at and due.to_at > $at "
            "and due.interval_s is not null "
            "group by lines.line, due.basis, due.interval_s order by lines.line",
            run=run[0][0],
            at=at,
        )
        counted = [
            self._due(line, basis, interval, last or run[0][1])
            for line, basis, interval, last in found
            if basis in CLOCKED
        ]
        return sorted(counted, key=lambda due: (due.left_min, due.line))

    def holds(self) -> list[tuple[str, int, datetime]]:
        """Open holds of the machine or its lots: id, pieces, since when; the oldest first."""
        found = self.records.rows(
            "select distinct holds.hold_id, holds.qty, holds.placed_at from holds "
            "left join lots on holds.lot_no = lots.lot_no "
            "where (holds.machine_id = $machine or lots.machine_id = $machine) "
            "and holds.placed_at <= $at and (holds.disposed_at is null or holds.disposed_at > $at) "
            "order by holds.placed_at, holds.hold_id",
            machine=self.machine,
            at=naive(self.at),
        )
        return [(hold, int(qty or 0), aware(placed)) for hold, qty, placed in found]

    def gauges(self) -> list[GaugeDue]:
        """Gauges used on the machine of late, the first to fall due first, unknown ones last."""
        found = self.records.rows(
            "with used as (select distinct m.gauge_id from measurements as m "
            "inner join checks on m.check_id = checks.check_id "
            "where checks.machine_id = $machine and m.gauge_id is not null "
            "and checks.done_at between $since and $at), "
            "latest as (select gauge_id, arg_max({'due': next_due}, done_on).due as next_due "
            "from calibrations where done_on <= local_date($at) group by gauge_id) "
            "select used.gauge_id, latest.next_due from used "
            "left join latest on used.gauge_id = latest.gauge_id "
            "order by latest.next_due nulls last, used.gauge_id",
            machine=self.machine,
            at=naive(self.at),
            since=naive(self.at - GAUGES_BACK),
        )
        return [GaugeDue(gauge, due) for gauge, due in found]

    def answerable(self, at: datetime) -> list[tuple[str, str, int, datetime]]:
        """Who has the machine at a minute: role, basis, how many, since when; never a person.

        Where anything actual is recorded for the machine, what was planned is left aside.
        """
        found = self.records.rows(
            "with own as (select allocations.* from allocations "
            "where (machine_or_group = $machine or machine_or_group in "
            "(select group_id from machines where machine_id = $machine)) "
            "and start_at <= $at and coalesce(end_at > $at, start_at > $at - interval 12 hours)) "
            "select role, basis, count(distinct person_key), min(start_at) from own "
            "where basis = 'actual' or not exists (select 1 from own where basis = 'actual') "
            "group by role, basis order by role",
            machine=self.machine,
            at=naive(at),
        )
        return [(role, basis, int(n), aware(start)) for role, basis, n, start in found]

    def _due(self, line: str, basis: str, interval_s: int, since: datetime) -> Due:
        start = aware(since)
        if basis == "running-time":
            gone = self._running_s(self.at) - self._running_s(start)
        else:
            gone = int((self.at - start).total_seconds())
        return Due(line, basis, (interval_s - gone) // 60, start)

    def _running_s(self, at: datetime) -> int:
        found = self.records.rows(
            "select running_s + running_rate * date_diff('second', from_at, $at) from clock_steps "
            "where machine_ix = $machine and from_at <= $at order by from_at desc limit 1",
            machine=self.machine_ix,
            at=naive(at),
        )
        return int(found[0][0]) if found else 0

"""Writes checks with their measurements, the control plans they follow, and the gauges they use.

This module writes what the checks say; it decides nothing about when one is made.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal

import numpy as np

from witnessmark.practice.floor import (
    LIGHTS_OUT,
    MACHINES,
    OPS,
    PLANS,
    TURNING,
    Line,
    Plan,
    plan_on,
)
from witnessmark.practice.history import Check, History
from witnessmark.practice.shift_calendar import FIRST_DAY, local_day
from witnessmark.practice.shop import Shop, between

GAUGE_PREFIX = {
    "micrometer": "MIC",
    "height gauge": "HGT",
    "plug gauge": "PLG",
    "limit sample": "SMP",
    "dial gauge": "DIA",
}
RESOLUTION = {"micrometer": "0.001", "height gauge": "0.01", "dial gauge": "0.001"}
CALIBRATED_EVERY_D = 365
SPREAD, MOST = 8.0, 0.7
"""Sizes scatter with an eighth of the tolerance around nominal and stay inside 70 % of it."""


def gauge_of(machine_id: str, gauge_type: str) -> str:
    """The gauge of a type that lies at a machine."""
    return f"{GAUGE_PREFIX[gauge_type]}-{machine_id.replace('-', '')}"


def write_plans(shop: Shop) -> None:
    """Writes the control plans, every revision of them."""
    for plan in PLANS:
        for line in plan.lines:
            _write_line(shop, plan, line)


def _write_line(shop: Shop, plan: Plan, line: Line) -> None:
    lower, upper = line.limits
    # Only parts of T2 have machines with a permission for the night, and name who visits them.
    visited = plan.op == OPS[TURNING] and any(
        plan.part_no in machine.parts for machine in MACHINES if machine.id in LIGHTS_OUT
    )
    shop.add(
        "control_plan_lines",
        plan_no=plan.no,
        rev=plan.rev,
        line=line.no,
        part_no=plan.part_no,
        op=plan.op,
        characteristic=line.characteristic,
        special_class="SC" if line.special else None,
        lower_limit=lower,
        upper_limit=upper,
        unit="mm" if lower is not None else None,
        method="measure" if lower is not None else "compare",
        gauge_type=line.gauge_type,
        sample_n=line.sample_n,
        basis=line.basis,
        interval_min=120 if line.basis == "running-time" else None,
        every_n=line.every_n,
        event=line.event,
        check_kinds=list(line.kinds),
        reaction_ref="RP-04",
        responsible_role="operator",
        responsible_role_unattended="operator" if visited else None,
        reaction_owner_role="leader",
        valid_from=plan.valid_from,
        valid_to=plan.valid_to,
    )


def write_gauges(shop: Shop) -> None:
    """Writes the gauges at every machine with a control plan, calibrated in time."""
    rng = shop.rng("gauges")
    for machine in MACHINES:
        if not machine.parts:
            continue
        turning = machine.process == TURNING
        for kind, prefix in GAUGE_PREFIX.items():
            if turning or prefix in {"HGT", "PLG", "SMP"}:
                last = FIRST_DAY - timedelta(days=between(rng, 20, 330))
                _write_gauge(shop, gauge_of(machine.id, kind), kind, last)


def _write_gauge(shop: Shop, gauge: str, kind: str, last: date) -> None:
    unit = "mm" if kind in RESOLUTION else None
    shop.add("gauges", gauge_id=gauge, type=kind, resolution=RESOLUTION.get(kind), unit=unit,
             interval_d=CALIBRATED_EVERY_D)  # fmt: skip
    done = last
    while done < shop.calendar.end_day:
        due = done + timedelta(days=CALIBRATED_EVERY_D)
        shop.add("calibrations", gauge_id=gauge, done_on=done, as_found=Decimal("0.001"),
                 as_left=Decimal(0), error_limit=Decimal("0.004"), verdict="in",
                 next_due=due)  # fmt: skip
        done = due - timedelta(days=9)


def write_checks(shop: Shop, histories: dict[str, History]) -> None:
    """Writes every check of every machine, with a value or a judgement for each piece."""
    for history in histories.values():
        rng = shop.rng("measuring", history.machine.id)
        for check in history.checks:
            write_check(shop, history, check, rng)


def write_check(shop: Shop, history: History, check: Check, rng: np.random.Generator) -> None:
    """Writes one check and its measurements."""
    machine, run = history.machine, check.run
    plan = plan_on(run.part, machine.op, local_day(check.at))
    sheet = plan_on(run.part, machine.op, check.sheet_day) if check.sheet_day else plan
    record = run.record if check.kind == "first-off" else None
    shop.add(
        "checks",
        check_id=check.id,
        machine_id=machine.id,
        part_no=run.part,
        run_id=run.order_at(check.at)["run_id"],
        setup_id=record["setup_id"] if record else None,
        kind=check.kind,
        op=machine.op,
        plan_no=plan.no,
        taken_at=check.taken_at,
        done_at=check.at,
        entered_at=check.entered_at,
        done_by=check.person,
        result=check.result,
        sheet_rev=sheet.rev,
        extract_id=check.extract,
    )
    draws = iter(rng.standard_normal(16).tolist())
    for line, on_sheet in zip(plan.lines, sheet.lines, strict=True):
        if check.kind in line.kinds and line.no not in check.left_out:
            _write_pieces(shop, history, check, (line, on_sheet), draws)


def _write_pieces(
    shop: Shop,
    history: History,
    check: Check,
    lines: tuple[Line, Line],
    draws: Iterator[float],
) -> None:
    line, on_sheet = lines
    lower, upper = on_sheet.limits
    for piece in range(1, line.sample_n + 1):
        value = None
        if line.nominal is not None and line.tolerance is not None:
            share = max(-MOST, min(MOST, next(draws) / SPREAD))
            value = line.nominal + (line.tolerance * Decimal(share)).quantize(Decimal("0.001"))
            value = check.bad.get(line.no, value) if piece == 1 else value
        shop.add(
            "measurements",
            check_id=check.id,
            line=line.no,
            piece_no=piece,
            value=value,
            attribute="good" if value is None else None,
            unit="mm" if value is not None else None,
            gauge_id=gauge_of(history.machine.id, line.gauge_type),
            lower_used=lower,
            upper_used=upper,
        )

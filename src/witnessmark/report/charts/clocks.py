"""The picture of a clock: its offset day by day, its drift, and where it was set."""

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import RUST, SOFT, Axis, Layer, Spec, plot, sheet
from witnessmark.report.charts.strokes import Point
from witnessmark.stats.clock_offset import ClockOffset
from witnessmark.stats.result import counted

DAY = 86400.0


@picture_of.register
def _offset(found: ClockOffset, about: About = NOTHING_MORE) -> Spec:
    """Median of each day as a point, what would be entered as a line, steps with their size.

    Steps are taken off the height, for an hour would hide a drift of seconds; the day of a step
    has no median of its own and is left out.
    """
    at_steps = [(step.after_s + step.before_s) / 2 / DAY for step in found.steps]
    points: list[Point] = [
        (day.day + 0.5, day.median_s - _stepped(found, day.day + 0.5))
        for day in found.by_day
        if not any(day.day <= at < day.day + 1 for at in at_steps)
    ]
    layers: list[Layer] = [strokes.level(0.0, colour=SOFT, width=1, dash=None)]
    layers += [strokes.line(line, width=2.2) for line in _entered(found)]
    layers.append(strokes.dots(points, hollow=True, size=46))
    for step, at in zip(found.steps, at_steps, strict=True):
        said = f"{step.hours:+d} h" if step.hours is not None else f"{step.size_s:+.0f} s"
        said = said.replace("-", "\u2212")
        layers.append(strokes.upright(at, colour=RUST))
        layers.append(
            strokes.note(at, "top", f"step {said}", dx=0, dy=-9, align="center", colour=RUST)
        )
    x = Axis("day since the beginning of the records", whole=True, grid=False)
    off = ", steps taken off" if found.steps else ""
    y = Axis(f"shown minus true time (s{off})")
    title = f"{about.what or 'The clock'} by {counted(found.n_pairs, 'pair')}: {_said(found)}"
    return sheet(title, plot(layers, x, y), found.sentence)


def _stepped(found: ClockOffset, day: float) -> float:
    """All steps before a day, in seconds."""
    return sum(step.size_s for step in found.steps if step.before_s / DAY <= day)


def _entered(found: ClockOffset) -> list[list[Point]]:
    """The offset that each fix gives, from it to the next step or the last day."""
    ends = [step.after_s / DAY for step in found.steps] + [float(found.by_day[-1].day + 1)]
    begins = [float(found.by_day[0].day)] + [step.before_s / DAY for step in found.steps]
    lines = []
    for fix, begin, end in zip(found.fixes, begins, ends, strict=True):
        drift = fix.drift_s_per_day or 0.0
        start = (fix.valid_from_s - fix.offset_s) / DAY
        height = fix.offset_s - _stepped(found, begin)
        lines.append([(at, height + drift * (at - start)) for at in (begin, end)])
    return lines


def _said(found: ClockOffset) -> str:
    way = "fast" if found.offset_s >= 0 else "slow"
    drift = "" if not found.drifts else f", drifting {found.drift_s_per_day or 0.0:+.1f} s a day"
    steps = "" if not found.steps else f", {counted(len(found.steps), 'step')}"
    return f"{abs(found.offset_s):.0f} s {way}{drift}{steps}"

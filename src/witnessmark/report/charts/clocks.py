"""The picture of a clock: its offset day by day, its drift, and where it was set."""

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import RUST, SOFT, Axis, Layer, Spec, plot, sheet
from witnessmark.report.charts.strokes import Point
from witnessmark.stats.clock_offset import ClockOffset
from witnessmark.stats.result import counted

DAY = 86400.0
MINUTES_FROM = 600.0
"""From this offset on the axis is in minutes."""


@picture_of.register
def _offset(found: ClockOffset, about: About = NOTHING_MORE) -> Spec:
    """Median of each day as a point, what would be entered as a line, steps with their size."""
    largest = max(abs(day.median_s) for day in found.by_day)
    unit, per = ("min", 60.0) if largest > MINUTES_FROM else ("s", 1.0)
    points: list[Point] = [(day.day + 0.5, day.median_s / per) for day in found.by_day]
    layers: list[Layer] = [strokes.level(0.0, colour=SOFT, width=1, dash=None)]
    layers += [strokes.line(line, width=2.2) for line in _entered(found, per)]
    layers.append(strokes.dots(points, hollow=True, size=46))
    for step in found.steps:
        at = (step.after_s + step.before_s) / 2 / DAY
        said = f"{step.hours:+d} h" if step.hours is not None else f"{step.size_s:+.0f} s"
        layers.append(strokes.upright(at, colour=RUST))
        layers.append(
            strokes.note(at, "top", f"step {said}", dx=0, dy=-9, align="center", colour=RUST)
        )
    x = Axis("day since the beginning of the records", whole=True, grid=False)
    y = Axis(f"shown minus true time ({unit}); above 0 the clock is fast")
    title = (
        f"{about.what or 'The clock'} by {counted(found.n_pairs, 'pair')} of events: {_said(found)}"
    )
    return sheet(title, plot(layers, x, y), found.sentence)


def _entered(found: ClockOffset, per: float) -> list[list[Point]]:
    """The offset that each fix gives, from it to the next step or the last day."""
    ends = [step.after_s / DAY for step in found.steps] + [float(found.by_day[-1].day + 1)]
    begins = [float(found.by_day[0].day)] + [step.before_s / DAY for step in found.steps]
    lines = []
    for fix, begin, end in zip(found.fixes, begins, ends, strict=True):
        drift = fix.drift_s_per_day or 0.0
        start = (fix.valid_from_s - fix.offset_s) / DAY
        lines.append([(at, (fix.offset_s + drift * (at - start)) / per) for at in (begin, end)])
    return lines


def _said(found: ClockOffset) -> str:
    way = "fast" if found.offset_s >= 0 else "slow"
    drift = "" if not found.drifts else f", drifting {found.drift_s_per_day or 0.0:+.1f} s a day"
    steps = "" if not found.steps else f", {counted(len(found.steps), 'step')}"
    return f"{abs(found.offset_s):.0f} s {way}{drift}{steps}"

"""Pictures of ageing: which share of actions is still open after a time, open ones counted."""

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import INK, MID, SOFT, TINT, Axis, Layer, Spec, plot, sheet
from witnessmark.report.charts.strokes import Point
from witnessmark.stats.logrank import LogRank
from witnessmark.stats.result import amount, counted
from witnessmark.stats.survival import SurvivalCurve

HALF = 0.5


@picture_of.register
def _curve(found: SurvivalCurve, about: About = NOTHING_MORE) -> Spec:
    """The curve within its limits, a tick at the age of each that is still open.

    The ages of those still open are not in the result: give them as `About(values=...)`.
    """
    unit = about.unit or "days"
    curve: list[Point] = [(0.0, 1.0), *((row.time, row.open_share) for row in found.rows)]
    limits = [(0.0, 1.0, 1.0), *((row.time, row.lower, row.upper) for row in found.rows)]
    curve.append((found.longest, curve[-1][1]))
    limits.append((found.longest, *limits[-1][1:]))
    layers = [
        strokes.band(limits, colour=TINT, interpolate="step-after"),
        strokes.line(curve, interpolate="step-after"),
        *_open_marks(curve, about.values),
        *_median(found, unit),
    ]
    x = Axis(f"time since opening ({unit})", domain=(0, found.longest * 1.02))
    y = Axis(about.axis("share still open"), percent=True, domain=(0, 1))
    half = (
        f"half are closed after {amount(found.median)} {unit}"
        if found.median is not None
        else ("fewer than half can be shown to be closed")
    )
    title = f"Of {counted(found.n, 'action')}, {found.still_open} still open: {half}"
    return sheet(title, [plot(layers, x, y), _at_risk(found, x)], found.sentence, spacing=8)


def _open_marks(curve: list[Point], ages: tuple[float, ...]) -> list[Layer]:
    points = [(age, [share for time, share in curve if time <= age][-1]) for age in ages]
    if not points:
        return []
    latest = max(points)
    return [
        strokes.ticks(points, size=12, colour=INK),
        strokes.words([(*latest, "still open")], dx=0, dy=-15, align="right", colour=SOFT),
    ]


def _median(found: SurvivalCurve, unit: str) -> list[Layer]:
    if found.median is None:
        return [strokes.level(HALF, width=1, colour=SOFT)]
    return [
        strokes.spans([(HALF, 0.0, found.median)], colour=INK, width=1.1, dash=(6, 3)),
        strokes.spans(
            [(found.median, 0.0, HALF)], upright=True, colour=INK, width=1.1, dash=(6, 3)
        ),
        strokes.words([(found.median, 0.04, f"{amount(found.median)} {unit}")], dx=6),
    ]


def _at_risk(found: SurvivalCurve, x: Axis) -> Spec:
    """How many the curve still rests on, at some of its closures: few of them make it rough."""
    wanted = [found.longest * step / 6 for step in range(1, 7)]
    near = {min(found.rows, key=lambda row: abs(row.time - time)) for time in wanted if found.rows}
    name = "still looked at"
    counts = [(0.0, name, f"{found.n:,}")]
    counts += [
        (row.time, name, f"{row.at_risk:,}") for row in sorted(near, key=lambda row: row.time)
    ]
    layer = strokes.words(counts, dx=0, align="center", colour=SOFT)
    bare = Axis(None, domain=x.domain, labels=False, grid=False)
    return plot([layer], bare, Axis(None, "nominal", names=[name]), height=16)


@picture_of.register
def _logrank(found: LogRank, about: About = NOTHING_MORE) -> Spec:
    """Closures of each group beside those it would have, did all close at one rate."""
    observed = list(zip(found.observed, found.names, strict=True))
    expected = list(zip(found.expected, found.names, strict=True))
    layers = [
        strokes.bars([(name, 0.0, count) for count, name in observed], colour=MID, thick=14),
        strokes.ticks(expected, size=28, colour=INK),
        strokes.words([(*expected[0], "at one rate for all")], dx=0, dy=-22, align="center"),
        strokes.words(
            [
                ("right", name, f"{count:g} closed of {size:,}")
                for (count, name), size in zip(observed, found.sizes, strict=True)
            ],
            dx=14,
        ),
    ]
    x = Axis(about.axis("closures", "number"), zero=True)
    y = Axis(None, "nominal", names=found.names)
    title = "Closures of each group against those expected, did all close at one rate"
    return sheet(title, plot(layers, x, y, width=430, height=52 * len(found.names)), found.sentence)

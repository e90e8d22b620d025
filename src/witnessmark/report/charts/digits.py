"""The picture of last digits: how often each came, against what was to be expected."""

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import INK, MID, Axis, Spec, plot, sheet
from witnessmark.stats.digits import TerminalDigits
from witnessmark.stats.result import percent


@picture_of.register
def _digits(found: TerminalDigits, about: About = NOTHING_MORE) -> Spec:
    """A column for each digit, and a stroke where it was to be."""
    names = [str(digit) for digit in range(10)]
    counts = list(zip(names, found.counts, strict=True))
    bars = [(name, 0.0, float(count)) for name, count in counts]
    half = list(zip(names, found.expected, strict=True))
    high = max(*found.counts, *found.expected) * 1.12
    layers = [
        strokes.bars(bars, upright=True, colour=MID, thick=26),
        strokes.dashes(half, size=40, colour=INK),
        strokes.words([(names[-1], found.expected[-1], "expected")], dx=26, colour=INK),
    ]
    x = Axis(f"last digit of {about.what or 'the reading'}", "nominal", names=names)
    y = Axis("readings (number)", domain=(0, high), whole=True)
    title = (
        f"Last digits: {percent(found.share_0_or_5)} are 0 or 5, "
        f"{percent(found.expected_0_or_5)} were to be expected"
    )
    return sheet(title, plot(layers, x, y), found.sentence)

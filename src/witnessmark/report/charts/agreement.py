"""Pictures of agreement: declared against recomputed, and delays of two groups."""

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import RUST, SOFT, Axis, Layer, Spec, plot, sheet
from witnessmark.report.charts.rows import Mark, Row, rows_plot
from witnessmark.stats.declared_recomputed import DeclaredAgreement
from witnessmark.stats.delays import DelayComparison
from witnessmark.stats.result import amount

CELL = 92.0


@picture_of.register
def _declared(found: DeclaredAgreement, about: About = NOTHING_MORE) -> Spec:
    """The counts as squares, as large as they are many; those declared too good are outlined."""
    names = found.verdicts
    cells = [
        (column, row, count, places[1] > places[0]) for row, places, column, count in _cells(found)
    ]
    largest = max(count for _, _, count, _ in cells) or 1
    layers: list[Layer] = []
    for column, row, count, too_good in cells:
        if count:
            size = max(count / largest, 0.006) * (CELL - 34) ** 2
            layers.append(
                strokes.dots(
                    [(column, row)],
                    shape="square",
                    size=size,
                    colour=RUST if too_good else SOFT,
                    hollow=too_good,
                )
            )
    inside = [(column, row, f"{count:,}") for column, row, count, _ in cells]
    layers.append(strokes.words(inside, dx=0, dy=CELL / 2 - 8, align="center"))
    sides = f"{found.too_good} too good, {found.too_bad} too bad"
    title = f"{about.what or 'Declared against recomputed'}: {sides}"
    x = Axis("recomputed", "nominal", names=names)
    y = Axis("declared", "nominal", names=names)
    side = CELL * len(names)
    return sheet(title, plot(layers, x, y, width=side, height=side), found.sentence)


def _cells(found: DeclaredAgreement) -> list[tuple[str, tuple[int, int], str, int]]:
    return [
        (declared, (i, j), recomputed, found.table[i][j])
        for i, declared in enumerate(found.verdicts)
        for j, recomputed in enumerate(found.verdicts)
    ]


@picture_of.register
def _delays(found: DelayComparison, about: About = NOTHING_MORE) -> Spec:
    """By how much delays of the first group are longer, with limits, against no difference."""
    first, second = found.names
    words = f"{amount(found.shift)} {about.unit}".strip()
    row = Row(f"{first} − {second}", found.shift, found.lower, found.upper, words)
    axis = Axis(about.axis("difference of delays"))
    way = "longer" if found.shift >= 0 else "shorter"
    title = (
        f"Delays: {first} {way} than {second} by {amount(abs(found.shift))} {about.unit}".strip()
    )
    picture = rows_plot([row], axis, [Mark(0.0, "no difference")])
    return sheet(title, picture, found.sentence)

"""The trace tree: from a suspect window to the bins open in it, what they became, and what left.

Columns from left to right; a pattern on the left edge and the word in the box say whether a lot is
held; a broken outline says that it touches the window only within the tolerance of the clocks.
"""

from collections import defaultdict

from witnessmark.report.figures import TraceNode, TraceTree
from witnessmark.report.pictures import svg
from witnessmark.report.words import LOT_STATE, plural

NODE, HIGH = 214.0, 46.0
ACROSS, DOWN = 268.0, 60.0
LEFT, TOP = 12.0, 34.0
EDGE = 12.0
HEADINGS = {
    "window": "suspect window",
    "bin": "bins open in it",
    "lot": "went on into",
    "shipment": "left the plant in",
}
FILLS = {"held": "level", "partly-held": "dotted", "not-held": "rising", "shipped": svg.INK}


def draw(figure: TraceTree) -> str:
    """The tree of one suspect window."""
    canvas = svg.Canvas("Where the product of the window went", figure.caption, repr(figure))
    columns = _columns(figure)
    tallest = max(len(column) for column in columns)
    places = {
        node.key: (LEFT + index * ACROSS, TOP + row * DOWN + (tallest - len(column)) * DOWN / 2)
        for index, column in enumerate(columns)
        for row, node in enumerate(column)
    }
    for start, end in figure.links:
        if start in places and end in places:
            canvas.add(_link(places[start], places[end]))
    for index, column in enumerate(columns):
        words = HEADINGS[column[0].kind]
        canvas.add(svg.text(LEFT + index * ACROSS, 16, words, size=svg.SMALL, fill=svg.SOFT))
        for node in column:
            canvas.add(_node(canvas, node, *places[node.key]))
    bottom = TOP + tallest * DOWN
    if figure.left_out:
        words = f"and {plural(figure.left_out, 'more lot')}, listed in the rows of the test"
        canvas.add(svg.text(LEFT, bottom + 8, words, size=svg.SMALL, fill=svg.SOFT))
        bottom += 18
    width = max(LEFT * 2 + (len(columns) - 1) * ACROSS + NODE, 760.0)
    foot = svg.legend(canvas, LEFT, bottom + 8, width, _key(canvas, figure))
    return canvas.close(width, foot + 12)


def _columns(figure: TraceTree) -> list[list[TraceNode]]:
    """Nodes by column, each near the nodes it comes from; empty columns are closed up."""
    rows: dict[str, float] = {}
    before: dict[str, list[str]] = defaultdict(list)
    for start, end in figure.links:
        before[end].append(start)
    columns = []
    for number in sorted({node.column for node in figure.nodes}):
        placed = [
            (_mean([rows[key] for key in before[node.key] if key in rows]), node.label, node)
            for node in figure.nodes
            if node.column == number
        ]
        column = [node for _, _, node in sorted(placed, key=lambda one: one[:2])]
        rows |= {node.key: float(row) for row, node in enumerate(column)}
        columns.append(column)
    return columns


def _mean(values: list[float]) -> float:
    return sum(values) / len(values) if values else 0.0


def _link(start: tuple[float, float], end: tuple[float, float]) -> str:
    x1, y1 = start[0] + NODE, start[1] + HIGH / 2
    x2, y2 = end[0], end[1] + HIGH / 2
    bend = (x2 - x1) / 2
    points = (x1, y1, x1 + bend, y1, x2 - bend, y2, x2, y2)
    a, b, c, d, e, f, g, h = (svg.number(point) for point in points)
    return svg.path(f"M{a} {b}C{c} {d} {e} {f} {g} {h}", stroke=svg.SOFT)


def _node(canvas: svg.Canvas, node: TraceNode, x: float, y: float) -> str:
    detail = node.detail
    edge = svg.rect(x, y, EDGE, HIGH, canvas.pattern("falling"))
    if node.state:
        fill = FILLS[node.state]
        fill = canvas.pattern(fill) if fill in svg.PATTERNS else fill
        edge = svg.rect(x, y, EDGE, HIGH, fill)
        if node.kind != "shipment":
            detail = f"{LOT_STATE[node.state]}, {detail}"
    return svg.group(
        svg.said(f"{node.label}: {detail}"),
        svg.rect(x, y, NODE, HIGH, svg.PAPER),
        edge,
        svg.box(
            x, y, NODE, HIGH, stroke=svg.RUST if node.kind == "window" else svg.INK,
            dash="5 3" if node.by_tolerance or node.kind == "window" else None,
        ),
        svg.text(x + EDGE + 9, y + 19, _cut(node.label, svg.PLAIN), weight="600"),
        svg.text(x + EDGE + 9, y + 36, _cut(detail, svg.SMALL), size=svg.SMALL, fill=svg.SOFT),
    )  # fmt: skip


def _cut(words: str, size: float) -> str:
    fits = int((NODE - EDGE - 14) / svg.width_of("0", size))
    return words if len(words) <= fits else words[: fits - 1] + "\u2026"


def _key(canvas: svg.Canvas, figure: TraceTree) -> list[tuple[str, str, float]]:
    used = {node.state for node in figure.nodes}
    entries = []
    for state, fill in FILLS.items():
        if state in used:
            drawn = canvas.pattern(fill) if fill in svg.PATTERNS else fill
            swatch = svg.box(0, -5, 12, 11, fill=drawn, stroke=svg.SOFT, stroke_width=0.8)
            entries.append((LOT_STATE[state], swatch, 12.0))
    if any(node.by_tolerance for node in figure.nodes):
        dashed = svg.box(0, -5, 20, 11, dash="4 2.5")
        entries.append(("touches the window only within the clocks' tolerance", dashed, 20.0))
    return entries

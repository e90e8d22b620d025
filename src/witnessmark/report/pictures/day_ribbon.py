"""The day ribbon: one machine's production day with what it did, who stood there, what was checked.

Top to bottom: suspect windows (hatched through everything), the machine's state, attendance,
checks, events, bins. Told apart by pattern and shape, so that it can be photocopied. It draws what
the figure says and decides nothing.
"""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from witnessmark.report.figures import Bin, RibbonDay, Stretch
from witnessmark.report.pictures import marks as shapes
from witnessmark.report.pictures import svg
from witnessmark.report.words import ATTENDANCE, LOT_STATE, day, plural

WIDTH = 1000.0
LEFT = 104.0
RIGHT = 988.0
BAND = 20.0
BIN = 19.0

STATES = {
    "running": ("running", svg.MID),
    "stopped": ("stopped", svg.PAPER),
    "setup": ("set-up", "upright"),
    "unknown": ("state not known", "faint"),
}
CLASSES = {
    "attended": (ATTENDANCE["attended"], svg.DEEP),
    "covered": (ATTENDANCE["covered"], "level"),
    "authorised": (ATTENDANCE["authorised"], "dotted"),
    "uncovered": (ATTENDANCE["uncovered"], "rising"),
    "mixed": (ATTENDANCE["mixed"], "checked"),
    "not-assessable": (ATTENDANCE["not-assessable"], "faint"),
}
BINS = {"held": "level", "partly-held": "dotted", "not-held": "rising", "shipped": svg.INK}

Place = Callable[[datetime], float]


def draw(figure: RibbonDay) -> str:
    """The ribbon of one machine and day."""
    canvas = svg.Canvas(
        f"Machine {figure.machine}, {day(figure.day)}", figure.caption, repr(figure)
    )
    place = _placing(figure)
    top = 30.0 if figure.windows else 14.0
    rows = _bin_rows(figure, place)
    lanes = _Lanes(top, len(rows))
    _shifts(canvas, figure, place, lanes)
    _hatches(canvas, figure, place, lanes)
    _band(canvas, figure.states, place, lanes.state, STATES)
    _band(canvas, figure.attendance, place, lanes.attendance, CLASSES)
    _bins(canvas, rows, place, lanes)
    _frames(canvas, figure, place, lanes)
    for mark in figure.marks:
        canvas.add(shapes.draw(mark, place, lanes.checks, lanes.events))
    _hours(canvas, figure, place, lanes)
    _names(canvas, lanes, bins=bool(rows))
    return canvas.close(WIDTH, _key(canvas, figure, lanes.axis + 46) + 12)


class _Lanes:
    """Where each lane of the ribbon begins, from the top."""

    def __init__(self, top: float, bin_rows: int) -> None:
        self.top = top
        self.state = top + 20
        self.attendance = self.state + BAND + 6
        self.checks = self.attendance + BAND + 20
        self.events = self.checks + 26
        self.bins = self.events + 16
        self.axis = self.bins + bin_rows * (BIN + 3) + 6


def _placing(figure: RibbonDay) -> Place:
    length = (figure.end_at - figure.start_at) / timedelta(seconds=1)

    def place(at: datetime) -> float:
        passed = (at - figure.start_at) / timedelta(seconds=1)
        return LEFT + (RIGHT - LEFT) * min(max(passed / length, 0.0), 1.0)

    return place


def _fill(canvas: svg.Canvas, fill: str) -> str:
    return canvas.pattern(fill) if fill in svg.PATTERNS else fill


def _band(
    canvas: svg.Canvas,
    stretches: tuple[Stretch, ...],
    place: Place,
    y: float,
    kinds: dict[str, tuple[str, str]],
) -> None:
    for stretch in stretches:
        x, until = place(stretch.from_at), place(stretch.to_at)
        canvas.add(svg.rect(x, y, until - x, BAND, _fill(canvas, kinds[stretch.kind][1])))
        canvas.add(svg.line(x, y, x, y + BAND, stroke=svg.PAPER, stroke_width=0.8))
    canvas.add(svg.box(LEFT, y, RIGHT - LEFT, BAND, stroke=svg.SOFT, stroke_width=0.8))


def _shifts(canvas: svg.Canvas, figure: RibbonDay, place: Place, lanes: _Lanes) -> None:
    for shift in figure.shifts:
        x, until = place(shift.start_at), place(shift.end_at)
        canvas.add(svg.line(x, lanes.top, x, lanes.axis, stroke=svg.INK, stroke_width=1.2))
        canvas.add(svg.text(x + 5, lanes.top + 11, shift.name, size=svg.SMALL, fill=svg.SOFT))
        for start, end in shift.breaks:
            left, right = place(start), place(end)
            canvas.add(
                svg.rect(left, lanes.top + 14, right - left, lanes.axis - lanes.top - 14, svg.TINT)
            )
        canvas.add(svg.line(until, lanes.top, until, lanes.axis, stroke=svg.INK, stroke_width=1.2))


def _bin_rows(figure: RibbonDay, place: Place) -> list[list[Bin]]:
    """Bins stacked so that none covers another's outline or name."""
    rows: list[tuple[float, list[Bin]]] = []
    for lot in sorted(figure.bins, key=lambda lot: (lot.from_at, lot.lot_no)):
        begin, end = place(lot.from_at), place(lot.to_at)
        for index, (free, held) in enumerate(rows):
            if begin >= free - 0.01:
                held.append(lot)
                rows[index] = (end, held)
                break
        else:
            rows.append((end, [lot]))
    return [held for _, held in rows]


def _bins(canvas: svg.Canvas, rows: list[list[Bin]], place: Place, lanes: _Lanes) -> None:
    for index, row in enumerate(rows):
        y = lanes.bins + index * (BIN + 3)
        for lot in row:
            x, until = place(lot.from_at), place(lot.to_at)
            fill = _fill(canvas, BINS[lot.state]) if lot.state else svg.PAPER
            state = LOT_STATE[lot.state] if lot.state else "outside any suspect window"
            words = svg.said(f"Bin {lot.lot_no}: {plural(lot.qty, 'piece')}, {state}")
            canvas.add(svg.box(x + 1, y, until - x - 2, BIN, words, fill=fill, stroke_width=0.9))
            name = _short(lot.lot_no, until - x - 8)
            if name:
                wide = svg.width_of(name, svg.SMALL) + 6
                middle = (x + until) / 2
                canvas.add(svg.rect(middle - wide / 2, y + 2.5, wide, BIN - 5, svg.PAPER))
                canvas.add(svg.text(middle, y + 13.5, name, size=svg.SMALL, anchor="middle"))


def _short(name: str, room: float) -> str:
    """The lot number, or its telling end, or nothing where there is no room."""
    fits = int(room / svg.width_of("0", svg.SMALL))
    if len(name) <= fits:
        return name
    return "\u2026" + name[-(fits - 1) :] if fits >= 4 else ""  # noqa: PLR2004 - three digits tell


def _hatches(canvas: svg.Canvas, figure: RibbonDay, place: Place, lanes: _Lanes) -> None:
    """Under everything else, so that no band or name is blurred by it."""
    for window in figure.windows:
        x, until = place(window.from_at), place(window.to_at)
        y = lanes.top + 14
        canvas.add(svg.rect(x, y, until - x, lanes.axis - y, canvas.pattern("falling")))


def _frames(canvas: svg.Canvas, figure: RibbonDay, place: Place, lanes: _Lanes) -> None:
    free = LEFT
    for window in figure.windows:
        x, until = place(window.from_at), place(window.to_at)
        y, said = lanes.top + 14, svg.said(window.label)
        canvas.add(
            svg.box(
                x, y, until - x, lanes.axis - y, said, stroke=svg.RUST, stroke_width=1.4, dash="5 3"
            )
        )
        middle, wide = (x + until) / 2, svg.width_of(window.label, svg.SMALL)
        begin = min(max(middle - wide / 2, free), WIDTH - wide)
        if begin >= free:
            canvas.add(
                svg.text(begin, 12, window.label, size=svg.SMALL, fill=svg.RUST, weight="600"),
                svg.line(middle, 16, middle, y, stroke=svg.RUST),
            )
            free = begin + wide + 12


def _hours(canvas: svg.Canvas, figure: RibbonDay, place: Place, lanes: _Lanes) -> None:
    zone = ZoneInfo(figure.zone)
    canvas.add(svg.line(LEFT, lanes.axis, RIGHT, lanes.axis, stroke=svg.SOFT))
    before = figure.start_at.astimezone(zone).utcoffset()
    for index, at in enumerate(_each_hour(figure.start_at, figure.end_at)):
        x = place(at)
        local = at.astimezone(zone)
        canvas.add(svg.line(x, lanes.axis, x, lanes.axis + 5, stroke=svg.SOFT))
        if index % 2 == 0:
            canvas.add(
                svg.text(x, lanes.axis + 18, f"{local:%H:%M}", size=svg.SMALL, anchor="middle",
                         fill=svg.SOFT)
            )  # fmt: skip
        if local.utcoffset() != before:
            said = "the clock was changed in this hour"
            canvas.add(
                svg.text(x, lanes.axis + 18, "\u21c5", size=14, anchor="end", fill=svg.RUST),
                svg.rect(x - 4, lanes.axis - 2, 8, 4, svg.RUST, svg.said(said)),
            )
        before = local.utcoffset()


def _each_hour(start: datetime, end: datetime) -> Iterator[datetime]:
    at = start.replace(minute=0, second=0, microsecond=0)
    if at < start:
        at += timedelta(hours=1)
    while at <= end:
        yield at
        at += timedelta(hours=1)


def _names(canvas: svg.Canvas, lanes: _Lanes, *, bins: bool) -> None:
    named = [
        ("machine", lanes.state + 14),
        ("attendance", lanes.attendance + 14),
        ("checks", lanes.checks + 4),
        ("events", lanes.events + 4),
    ]
    if bins:
        named.append(("bins", lanes.bins + 14))
    for words, y in named:
        canvas.add(svg.text(LEFT - 10, y, words, size=svg.PLAIN, anchor="end", fill=svg.INK))


def _swatch(fill: str) -> str:
    return svg.box(0, -5, 18, 11, fill=fill, stroke_width=0.8, stroke=svg.SOFT)


def _key(canvas: svg.Canvas, figure: RibbonDay, y: float) -> float:
    """A key under the ribbon, one line per lane, holding only what this ribbon uses."""
    bins = {lot.state: f"bin {LOT_STATE[lot.state]}" for lot in figure.bins if lot.state}
    lines = [
        ("machine", _bands(canvas, figure.states, STATES)),
        ("attendance", _bands(canvas, figure.attendance, CLASSES)),
        ("checks", shapes.legend(figure.marks, events=False)),
        ("events", shapes.legend(figure.marks, events=True)),
        ("bins", [(bins[kind], _swatch(_fill(canvas, BINS[kind])), 18.0) for kind in sorted(bins)]),
    ]
    if any(shift.breaks for shift in figure.shifts):
        lines[0][1].append(("planned break", svg.rect(0, -5, 12, 11, svg.TINT), 12.0))
    if figure.windows:
        hatch = svg.box(0, -5, 18, 11, fill=canvas.pattern("falling"), stroke=svg.RUST, dash="3 2")
        lines[-1][1].append(("suspect window", hatch, 18.0))
    for words, entries in lines:
        if entries:
            canvas.add(svg.text(LEFT - 10, y, words, size=svg.SMALL, anchor="end", fill=svg.SOFT))
            y = svg.legend(canvas, LEFT, y, RIGHT, entries) + 19
    return y - 19


def _bands(
    canvas: svg.Canvas, stretches: tuple[Stretch, ...], kinds: dict[str, tuple[str, str]]
) -> list[tuple[str, str, float]]:
    used = {stretch.kind for stretch in stretches}
    return [
        (words, _swatch(_fill(canvas, fill)), 18.0)
        for kind, (words, fill) in kinds.items()
        if kind in used
    ]

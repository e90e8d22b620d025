"""Pictures of tending: the load of a person by task, machines that wait, hours against demand."""

from collections.abc import Sequence

from witnessmark.report.charts import strokes
from witnessmark.report.charts.dispatch import NOTHING_MORE, About, picture_of
from witnessmark.report.charts.look import (
    INK,
    MID,
    PAPER,
    SOFT,
    TINT,
    Axis,
    Layer,
    Spec,
    plot,
    sheet,
)
from witnessmark.report.charts.strokes import Point
from witnessmark.stats.capacity import Capacity
from witnessmark.stats.interference import MachineInterference, finite_source_queue
from witnessmark.stats.interference_limits import MostMachines
from witnessmark.stats.result import amount, counted, percent
from witnessmark.stats.tending import TendingLoad

BY = ("by task", "by machine")
LEAST_LABEL = 0.055
"""Smallest part of the scale that still has room for a name inside."""


@picture_of.register
def _load(found: TendingLoad, about: About = NOTHING_MORE) -> Spec:
    """The minutes of an hour laid end to end, by task and by machine, against those there are."""
    end = max(found.minutes_per_hour, found.available) * 1.04
    limit = found.limit * found.available
    layers = [
        strokes.upright(limit),
        strokes.upright(found.available, dash=None, width=1.6),
        *_laid(BY[0], found.by_kind, end),
        *_laid(BY[1], found.by_machine, end),
        strokes.note(
            limit, "top", f"limit {percent(found.limit)}", dx=-4, dy=-9, align="right", colour=INK
        ),
        strokes.note(
            found.available,
            "top",
            f"{amount(found.available)} min there are",
            dx=4,
            dy=-9,
            colour=INK,
        ),
    ]
    x = Axis("minutes of an hour", domain=(0.0, end))
    of_what = f"{about.what or 'One person'}, {counted(len(found.by_machine), 'machine')}"
    verdict = "within" if found.within_limit else "above"
    title = f"{of_what}: a load of {percent(found.load)}, {verdict} the limit"
    picture = plot(layers, x, Axis(None, "nominal", names=BY), height=120)
    return sheet(title, picture, found.sentence)


def _laid(row: str, parts: Sequence[tuple[str, float]], end: float) -> list[Layer]:
    """Parts end to end, light and dark by turns, the name inside where there is room."""
    layers, at = [], 0.0
    for index, (name, minutes) in enumerate(parts):
        light = index % 2 == 0
        bar = [(row, at, at + minutes)]
        layers.append(strokes.bars(bar, colour=TINT if light else MID, thick=30, outline=PAPER))
        if minutes >= LEAST_LABEL * end * max(1.0, len(name) / 7):
            middle = (at + minutes / 2, row)
            layers.append(strokes.words([(*middle, name)], dx=0, dy=-6, align="center", size=10.5))
            layers.append(
                strokes.words([(*middle, amount(minutes))], dx=0, dy=7, align="center", size=10.5)
            )
        at += minutes
    return layers


@picture_of.register
def _interference(found: MachineInterference, about: About = NOTHING_MORE) -> Spec:
    """Running share and wait over the number of machines, with the number there is."""
    return sheet(
        f"{counted(found.machines, 'machine')} for {counted(found.persons, 'person', 'persons')}: "
        f"each runs {percent(found.efficiency)} of the time",
        _queue(found, about),
        found.sentence,
    )


def _queue(found: MachineInterference, about: About) -> list[Spec]:
    most = max(8, round(found.machines * 1.6))
    queues = [
        finite_source_queue(n, found.mean_run, found.mean_service, found.persons)
        for n in range(1, most + 1)
    ]
    x = Axis(about.axis("machines that share them", "number"), whole=True, domain=(0.5, most + 0.5))
    bare = Axis(None, whole=True, domain=(0.5, most + 0.5), labels=False)
    unit = about.unit or "min"
    running = [(one.machines, one.efficiency) for one in queues]
    wait = [(one.machines, one.mean_wait) for one in queues]
    run_axis = Axis("share of its time that a machine runs", percent=True, domain=(0, 1))
    wait_axis = Axis(f"mean wait of a stop ({unit})", zero=True)
    at_run = (found.machines, found.efficiency, percent(found.efficiency))
    at_wait = (found.machines, found.mean_wait, f"{found.mean_wait:.1f} {unit}")
    return [
        plot(_line(running, at_run), bare, run_axis, height=130),
        plot(_line(wait, at_wait), x, wait_axis, height=130),
    ]


def _line(points: list[Point], at: tuple[float, float, str]) -> list[Layer]:
    return [
        strokes.line(points, colour=MID, width=1.4),
        strokes.dots(points, hollow=True, size=36),
        strokes.dots([at[:2]], shape="square", size=84),
        strokes.words([at], dx=0, dy=-16, align="center", bold=True),
    ]


@picture_of.register
def _most(found: MostMachines, about: About = NOTHING_MORE) -> Spec:
    """The same picture at the largest number within the limit."""
    at = found.at or found.one_more
    title = f"{counted(found.machines, 'machine')} at most, with {found.limit}"
    return sheet(title, _queue(at, about), found.sentence)


@picture_of.register
def _capacity(found: Capacity, about: About = NOTHING_MORE) -> Spec:
    """Hours asked for against hours staffed, of machines and of people."""
    balances = [found.machine, *([found.people] if found.people else [])]
    names = [f"{one.whose} hours" for one in balances]
    asked = [(name, 0.0, one.required) for name, one in zip(names, balances, strict=True)]
    staffed = [(one.staffed, name) for name, one in zip(names, balances, strict=True)]
    planned = [
        (one.staffed * found.target, name) for name, one in zip(names, balances, strict=True)
    ]
    said = [
        ("right", name, f"{one.required:,.0f} of {one.staffed:,.0f} h")
        for name, one in zip(names, balances, strict=True)
    ]
    end = max(max(one.required, one.staffed) for one in balances) * 1.06
    layers = [
        strokes.bars(asked, colour=MID, thick=18),
        strokes.ticks(planned, size=30, colour=SOFT),
        strokes.ticks(staffed, size=40, colour=INK),
        strokes.words([(*staffed[0], "staffed")], dx=0, dy=-30, align="center"),
        strokes.words(
            [(*planned[0], f"{percent(found.target)} of it")],
            dx=0,
            dy=-30,
            align="center",
            colour=SOFT,
        ),
        strokes.words(said, dx=14),
    ]
    x = Axis(about.axis("hours of the period"), domain=(0.0, end))
    y = Axis(None, "nominal", names=names)
    fits = {True: "they fit", False: "they do not fit", None: "people hours are not known"}
    title = f"Hours the demand asks for against those there are: {fits[found.fits]}"
    return sheet(title, plot(layers, x, y, width=430, height=74 * len(names)), found.sentence)

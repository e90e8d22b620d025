"""A scale and its round ticks, shared by the pictures that have a measured axis."""

from collections.abc import Sequence
from dataclasses import dataclass

from witnessmark.report.pictures import svg

MINUTE_STEPS = (5, 10, 15, 30, 60, 120, 240, 480, 720, 1440)
MOST_TICKS = 8


@dataclass(frozen=True)
class Scale:
    """Turns a value between 0 and `top` into a place between `left` and `right`."""

    left: float
    right: float
    top: float

    def __call__(self, value: float) -> float:
        """The place of a value; what lies beyond the scale stands at its end."""
        return self.left + (self.right - self.left) * min(max(value / self.top, 0.0), 1.0)


def steps(top: float, choices: Sequence[float]) -> list[float]:
    """Round values from 0 to `top`, about eight of them, by the first step that is wide enough."""
    step = next((one for one in choices if top / one <= MOST_TICKS), choices[-1])
    return [index * step for index in range(int(top / step) + 1)]


def grid(scale: Scale, ticks: Sequence[tuple[float, str]], top: float, bottom: float) -> list[str]:
    """Hairlines through the picture with their words below."""
    marks = []
    for value, words in ticks:
        x = scale(value)
        marks.append(svg.line(x, top, x, bottom, stroke=svg.HAIR, stroke_width=0.8))
        marks.append(
            svg.text(x, bottom + 16, words, size=svg.SMALL, anchor="middle", fill=svg.SOFT)
        )
    return marks

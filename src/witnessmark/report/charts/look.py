"""How every picture of a result looks: its colours and type, and the sheet that it is drawn on.

The colours are those of the working paper. What differs, differs in shape, dash or lightness, so
that a photocopy still tells it apart. Knows no result.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Any

from witnessmark.report.pictures import svg

Spec = dict[str, Any]
Layer = dict[str, Any]


def _plain(colour: str) -> str:
    """A colour of the pictures of the paper, which follow its page, as it stands by itself."""
    found = re.search(r"#[0-9a-f]{6}", colour)
    return found.group() if found else colour


INK, SOFT, HAIR, PAPER, TINT, DEEP, MID, RUST = map(
    _plain, (svg.INK, svg.SOFT, svg.HAIR, svg.PAPER, svg.TINT, svg.DEEP, svg.MID, svg.RUST)
)
FONT = "Liberation Sans, Arial, Helvetica, sans-serif"
"""Comes with the renderer, and its kin are as wide: the same picture on every machine."""

SERIF = "Liberation Serif, Charter, Georgia, serif"
WIDTH, HEIGHT = 560, 240
LINE = 92
MOST_LINES = 5
LEAST_TICKS = 3

CONFIG: Spec = {
    "background": PAPER,
    "font": FONT,
    "padding": {"left": 14, "right": 18, "top": 14, "bottom": 12},
    "aria": False,
    "view": {"stroke": None},
    "title": {
        "anchor": "start",
        "frame": "bounds",
        "font": SERIF,
        "fontSize": 17,
        "fontWeight": "normal",
        "color": INK,
        "offset": 16,
        "subtitleFont": FONT,
        "subtitleFontSize": 11.5,
        "subtitleColor": SOFT,
        "subtitleLineHeight": 15,
        "subtitlePadding": 7,
    },
    "axis": {
        "domain": False,
        "ticks": False,
        "gridColor": HAIR,
        "gridWidth": 0.6,
        "labelColor": SOFT,
        "labelFontSize": 11,
        "labelPadding": 6,
        "labelFlush": False,
        "titleColor": SOFT,
        "titleFontSize": 11.5,
        "titleFontWeight": "normal",
        "titlePadding": 8,
    },
    "axisX": {"titleAnchor": "end"},
    "axisY": {
        "titleAngle": 0,
        "titleAlign": "left",
        "titleAnchor": "end",
        "titleBaseline": "bottom",
        "titleX": 0,
        "titleY": -9,
    },
    "text": {"color": INK, "fontSize": 11.5, "font": FONT},
    "tick": {"opacity": 1},
    "bar": {"opacity": 1},
}

PERCENT = "format(datum.value * 100, '.4~g') + ' %'"


@dataclass(frozen=True)
class Axis:
    """One direction of a picture.

    Args:
        title: What is measured along it, with its unit.
        kind: "quantitative", or "nominal" for names in the order given.
        domain: From and to; None leaves it to the data.
        zero: Whether it begins at 0 where no domain is given.
        log: Whether equal steps are equal ratios.
        percent: Whether shares are written as percentages.
        whole: Whether only whole numbers stand at it.
        grid: Whether hairlines go through the picture.
        values: Where ticks stand; None leaves it to the data.
        labels: Whether ticks have words.
        names: Of a nominal axis, the names in their order.
    """

    title: str | None
    kind: str = "quantitative"
    domain: tuple[float, float] | None = None
    zero: bool = False
    log: bool = False
    percent: bool = False
    whole: bool = False
    grid: bool = True
    values: Sequence[float] | None = None
    labels: bool = True
    names: Sequence[str] = ()

    def channel(self) -> Spec:
        """The axis as the spec writes it."""
        scale: Spec
        axis: Spec = {
            "grid": self.grid and self.kind == "quantitative",
            "tickCount": 6,
            "labelOverlap": True,
        }
        axis |= {"labelExpr": PERCENT} if self.percent else {}
        axis |= {"tickMinStep": 1} if self.whole else {}
        values = self.values if self.values is not None else self._decades()
        axis |= {"values": list(values), "labelOverlap": False} if values else {}
        axis |= {} if self.labels else {"labels": False}
        if self.kind == "nominal":
            axis |= {"labelColor": INK, "labelLimit": 260, "labelAngle": 0, "labelPadding": 12}
            sort = list(self.names) or None
            scale = {"domain": sort} if sort else {}
            return {
                "type": "nominal",
                "title": self.title,
                "sort": sort,
                "axis": axis,
                "scale": scale,
            }
        scale = {"type": "log"} if self.log else {"zero": self.zero}
        scale |= {"domain": list(self.domain), "nice": False} if self.domain else {}
        return {"type": self.kind, "title": self.title, "axis": axis, "scale": scale}

    def _decades(self) -> list[float] | None:
        """1, 2, 5, 10, 20 ... within the domain of an axis of ratios, finer where it is short."""
        if not self.log or self.domain is None:
            return None
        low, high = self.domain
        tens = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
        for digits in ((1, 2, 5), (1, 1.5, 2, 3, 4, 5, 7)):
            values = [digit * 10.0**ten for ten in tens for digit in digits]
            within = [value for value in values if low * 0.999 <= value <= high * 1.001]
            if len(within) >= LEAST_TICKS:
                break
        return within


def to_scale(value: float, span: float) -> str:
    """A value at an axis in as many digits as tell a hundredth of a span apart."""
    if value == 0:
        return "0"
    digits = max(0, 1 - math.floor(math.log10(span))) if span > 0 else 3
    return f"{value:,.{digits}f}"


def plot(
    layers: Sequence[Layer], x: Axis, y: Axis, *, width: float = WIDTH, height: float = HEIGHT
) -> Spec:
    """Layers over two shared axes: a part of a sheet."""
    channels = {"x": x.channel(), "y": y.channel()}
    return {
        "width": width,
        "height": height,
        "layer": [_on(layer, channels) for layer in layers],
    }


def _on(layer: Layer, channels: dict[str, Spec]) -> Layer:
    encoding = dict(layer["encoding"])
    for name, channel in channels.items():
        if name in encoding and "value" not in encoding[name]:
            encoding[name] = channel | encoding[name]
    return layer | {"encoding": encoding}


def sheet(
    title: str, parts: Spec | Sequence[Spec], caption: str = "", *, spacing: float = 26
) -> Spec:
    """A whole picture: a title that says what is seen, the plot or plots, a caption where it fits.

    The caption always stands in the description, for a reader who cannot see the picture.
    """
    title = title[:1].upper() + title[1:]
    lines = wrap(caption.replace(" %", "\u00a0%"), LINE)
    heading: Spec = {"text": wrap(title.replace(" %", "\u00a0%"), LINE - 20)}
    heading |= {"subtitle": lines} if 0 < len(lines) <= MOST_LINES else {}
    body = parts if isinstance(parts, dict) else {"vconcat": list(parts), "spacing": spacing}
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        "description": f"{title}. {caption}".strip(),
        "title": heading,
        **body,
        "config": CONFIG,
    }

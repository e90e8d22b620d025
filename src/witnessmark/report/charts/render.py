"""Specs made into SVG and PNG, offline: nothing is fetched, fonts come with the renderer."""

from pathlib import Path

import vl_convert

from witnessmark.errors import UnusableInputError, Where
from witnessmark.report.charts.look import Spec

VEGA_LITE = "5.20"
SCALE = 2
"""Pixels of a PNG per pixel of the picture: sharp in print at the size it is drawn for."""


def svg(spec: Spec) -> str:
    """The picture as the text of an SVG; the same spec gives the same text."""
    return vl_convert.vegalite_to_svg(spec, vl_version=VEGA_LITE, allowed_base_urls=[])


def png(spec: Spec, scale: float = SCALE) -> bytes:
    """The picture as a PNG, `scale` pixels to each of its own."""
    return vl_convert.vegalite_to_png(spec, vl_version=VEGA_LITE, scale=scale, allowed_base_urls=[])


def write_picture(spec: Spec, path: Path) -> None:
    """Writes the picture; the end of the name decides between SVG and PNG.

    Raises:
        UnusableInputError: Another end of the name, or a folder that does not exist.
    """
    kind = path.suffix.lower()
    if kind not in {".svg", ".png"}:
        raise UnusableInputError.one(
            Where(path.name), "its ending names no kind of picture", "a name in .svg or .png"
        )
    if not path.parent.is_dir():
        raise UnusableInputError.one(
            Where(path.name), "its folder does not exist", mend="Make the folder first."
        )
    path.write_bytes(svg(spec).encode() if kind == ".svg" else png(spec))

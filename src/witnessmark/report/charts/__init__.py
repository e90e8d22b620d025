"""Pictures of statistical results: `picture_of` gives a Vega-Lite spec, `write_picture` a file.

Knows results of `stats` and nothing of records, cases or the working paper.
"""

from witnessmark.report.charts import (
    agreement,
    capability,
    change,
    clocks,
    control,
    digits,
    effect,
    gauge,
    limits,
    plans,
    sampling,
    survival,
    tending,
)
from witnessmark.report.charts.dispatch import About, has_picture, picture_of
from witnessmark.report.charts.render import png, svg, write_picture

FAMILIES = (
    agreement,
    capability,
    change,
    clocks,
    control,
    digits,
    effect,
    gauge,
    limits,
    plans,
    sampling,
    survival,
    tending,
)
"""Importing a family makes its pictures known."""

__all__ = ["FAMILIES", "About", "has_picture", "picture_of", "png", "svg", "write_picture"]

"""Pictures of statistical results: `picture_of` gives a Vega-Lite spec, `write_picture` a file.

Importing a family of pictures makes them known. Knows results of `stats` and nothing of records,
cases or the working paper.
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

__all__ = [
    "About",
    "agreement",
    "capability",
    "change",
    "clocks",
    "control",
    "digits",
    "effect",
    "gauge",
    "has_picture",
    "limits",
    "picture_of",
    "plans",
    "png",
    "sampling",
    "survival",
    "svg",
    "tending",
    "write_picture",
]

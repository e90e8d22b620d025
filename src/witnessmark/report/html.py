"""The paper as one HTML page that opens offline: styles inside, pictures inside, no script.

It lays out what the paper says and words nothing of its own but headings; it runs no query.
"""

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from witnessmark.report import prose, words
from witnessmark.report.figures import (
    ForestPlot,
    IntervalPlot,
    RibbonDay,
    StatusStrip,
    TraceTree,
)
from witnessmark.report.model import Paper
from witnessmark.report.pictures import (
    day_ribbon,
    forest_plot,
    interval_plot,
    status_strip,
    trace_tree,
)

Figure = RibbonDay | StatusStrip | IntervalPlot | TraceTree | ForestPlot


def render(paper: Paper) -> str:
    """The whole page, ready to be written to a file as UTF-8."""
    return _environment().get_template("paper.html.j2").render(paper=paper)


def picture(figure: Figure) -> Markup:
    """A figure as inline SVG; its text was escaped where it was drawn."""
    match figure:
        case RibbonDay():
            drawn = day_ribbon.draw(figure)
        case StatusStrip():
            drawn = status_strip.draw(figure)
        case IntervalPlot():
            drawn = interval_plot.draw(figure)
        case TraceTree():
            drawn = trace_tree.draw(figure)
        case ForestPlot():
            drawn = forest_plot.draw(figure)
    return Markup(drawn)  # noqa: S704 - svg.element and svg.text escape all values


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("witnessmark.report", "page"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {
        "prose": prose.to_html,
        "picture": picture,
        "count": words.count,
        "share": words.share,
        "day": words.day,
        "plural": words.plural,
    }
    environment.globals |= {"bounds": words.bounds, "x_of_n": words.x_of_n, "status": words.STATUS}
    return environment

"""Which results have a picture: each family registers its own here.

What a result does not carry itself, such as a unit, the caller adds with `About`.
"""

from dataclasses import dataclass
from functools import singledispatch

from witnessmark.errors import UnusableInputError, Where
from witnessmark.report.charts.look import Spec


@dataclass(frozen=True)
class About:
    """What the caller knows of a result and the result does not.

    Args:
        what: What was looked at or measured, in a word or two: "late checks", "diameter".
        unit: Unit of the values or of the exposure: "mm", "running hours".
        values: The single values behind it, where a picture can show them: those measured, in
            their order; of a survival curve the ages of those still open.
    """

    what: str = ""
    unit: str = ""
    values: tuple[float, ...] = ()

    def axis(self, otherwise: str, unit: str = "") -> str:
        """The words at an axis: what is measured, and its unit."""
        known = self.unit or unit
        return f"{self.what or otherwise} ({known})" if known else self.what or otherwise


NOTHING_MORE = About()


@singledispatch
def picture_of(result: object, about: About = NOTHING_MORE) -> Spec:
    """The picture of a result, as a Vega-Lite spec.

    Args:
        result: A result of `stats`.
        about: What the result itself does not carry.

    Raises:
        UnusableInputError: No picture helps with a result of this kind; `has_picture` tells.
    """
    del about
    kind = type(result).__name__
    raise UnusableInputError.one(
        Where(kind),
        "no picture is drawn of it",
        mend="Ask has_picture() first and print the result's sentence where there is none.",
    )


def has_picture(result: object) -> bool:
    """Whether a picture helps with a result of this kind."""
    return picture_of.dispatch(type(result)) is not picture_of.dispatch(object)

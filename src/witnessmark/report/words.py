"""How a number, a span of time or a class is written: the same words on every page.

Only wording lives here; it knows no picture, no page and no query.
"""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from math import floor, log10
from zoneinfo import ZoneInfo

ATTENDANCE = {
    "attended": "attended",
    "covered": "covered by a neighbour",
    "authorised": "authorised unattended",
    "uncovered": "uncovered",
    "mixed": "attendance mixed",
    "not-assessable": "attendance not known",
}
"""What the paper calls each attendance class, in the order in which classes are shown."""

STATUS = {
    "assessed": "assessed",
    "nothing-to-test": "nothing to test",
    "not-assessable": "not assessable",
    "failed": "failed",
}

LOT_STATE = {
    "held": "held",
    "partly-held": "partly held",
    "not-held": "not held",
    "shipped": "shipped",
}

LEAST_SHARE = 0.00001
"""The smallest share that is still written out."""

SMALL_CHANCE = 0.0001
"""The smallest probability that is still written out."""

THIN = "\u202f"
DASH = "\u2013"


def count(number: int) -> str:
    """A whole number with thin spaces between thousands."""
    return f"{number:,}".replace(",", THIN)


def share(value: float | None) -> str:
    """A share of one as a percentage with two figures, and never 0 or 100 for what is not."""
    if value is None:
        return DASH
    percent = value * 100
    if 99.5 <= percent < 100:  # noqa: PLR2004 - rounding would say that nothing is left
        return f"{percent:.1f} %" if percent < 99.95 else "over 99.9 %"  # noqa: PLR2004 - the first value that would print as 100 %
    if 0 < value < LEAST_SHARE:
        return "under 0.001 %"
    digits = 0 if percent == 0 else max(0, 1 - floor(log10(percent)))
    return f"{percent:.{digits}f} %"


def bounds(lower: float | None, upper: float | None) -> str:
    """An interval of shares, or a dash where there is none.

    A lower bound too small to be written is rounded outward to 0.
    """
    if lower is None or upper is None:
        return DASH
    lower = 0.0 if lower < LEAST_SHARE else lower
    return f"{share(lower).removesuffix(' %')}{DASH}{share(upper)}"


def chance(p: float) -> str:
    """A probability with two figures; what is too small to matter is not written out."""
    return "under 0.0001" if p < SMALL_CHANCE else f"{p:.2g}"


def x_of_n(x: int, n: int) -> str:
    """A count with its denominator, which never stands alone in the paper."""
    return f"{count(x)} of {count(n)}"


def span(seconds: int) -> str:
    """A length of time in hours and minutes, as a person would say it."""
    minutes, rest = divmod(abs(int(seconds)), 60)
    hours, minutes = divmod(minutes, 60)
    sign = "\u2212" if seconds < 0 else ""
    if hours:
        return f"{sign}{hours} h {minutes:02d} min" if minutes else f"{sign}{hours} h"
    if minutes or not rest:
        return f"{sign}{minutes} min"
    return f"{sign}{rest} s"


def day(value: date) -> str:
    """A date with its weekday, readable in every country."""
    return f"{value:%a} {value.day} {value:%b %Y}"


def clock(instant: datetime, zone: str) -> str:
    """The wall-clock time in the plant's zone."""
    return f"{instant.astimezone(ZoneInfo(zone)):%H:%M}"


def moment(instant: datetime, zone: str) -> str:
    """Day and wall-clock time in the plant's zone."""
    local = instant.astimezone(ZoneInfo(zone))
    return f"{day(local.date())}, {local:%H:%M}"


def listed(words: Iterable[str]) -> str:
    """Words joined as in a sentence."""
    items = list(words)
    if len(items) <= 1:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def plural(number: int, one: str, many: str | None = None) -> str:
    """A count with its noun in the right number."""
    return f"{count(number)} {one if number == 1 else many or one + 's'}"


def hours_between(start: datetime, end: datetime) -> float:
    """Real hours that pass between two aware instants."""
    return (end - start) / timedelta(hours=1)

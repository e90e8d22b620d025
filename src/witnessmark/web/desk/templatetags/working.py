"""Tags of the pages that are worked at: times that count down, counts, grades, evidence."""

from datetime import timedelta

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from markupsafe import Markup

from witnessmark.audit.event import BrokenEventError, moment_of, written
from witnessmark.audit.exhaustion import CONDITIONS
from witnessmark.report import words
from witnessmark.report.model import Rate
from witnessmark.report.prose import to_html
from witnessmark.web.desk.audit_page import AuditPage
from witnessmark.web.desk.templatetags.audit import in_words

register = template.Library()
SOON = timedelta(minutes=60)
GRADES = {
    "none": "no finding",
    "opportunity": "an opportunity",
    "minor": "a minor finding",
    "major": "a major finding",
}


@register.simple_tag(takes_context=True)
def until(context: template.Context, instant: str) -> SafeString:
    """How long until a window closes, counting on in the browser; urgent within the hour."""
    page: AuditPage = context["page"]
    if not instant:
        return format_html('<span class="soft">{}</span>', "no known end")
    try:
        gap = moment_of(instant) - page.now
    except BrokenEventError:
        return format_html("{}", instant)
    is_over, soon = gap < timedelta(), gap < SOON
    told = f"closed {in_words(gap)}" if is_over else f"closes {in_words(gap)}"
    return format_html(
        '<span class="until{}"><time datetime="{}" data-until data-now="{}">{}</time></span>',
        " urgent" if soon else "",
        instant,
        written(page.now),
        told,
    )


@register.filter
def grade(value: str) -> str:
    """A grade in words."""
    return GRADES.get(value, value)


@register.filter
def count(value: int) -> str:
    """A whole number with thin spaces between thousands."""
    return words.count(int(value))


@register.filter
def plural(value: int, noun: str) -> str:
    """A count with its noun in the right number."""
    return words.plural(int(value), noun)


@register.filter
def share(value: float | None) -> str:
    """A share as a percentage."""
    return words.share(value)


@register.filter
def span(seconds: int) -> str:
    """Seconds in hours and minutes."""
    return words.span(int(seconds))


@register.filter
def condition(key: str) -> str:
    """A condition of an exhausted trail in words."""
    return CONDITIONS.get(key, key)


READ_BACK = {
    "agreed": "read back and agreed",
    "corrected": "read back and corrected",
    "not-read-back": "not read back",
}


@register.filter
def read_back(value: str) -> str:
    """Whether a statement was read back, in words."""
    return READ_BACK.get(value, value)


@register.filter
def times(value: int) -> str:
    """How often, in words."""
    return {1: "once", 2: "twice"}.get(value, f"{value} times")


PERMISSION = {
    "given": "permission given",
    "not-needed": "allowed by the rules of the site",
    "kept-by-plant": "original kept by the plant",
}


@register.filter
def permission(value: str) -> str:
    """On what ground a photo was taken, in words."""
    return PERMISSION.get(value, value)


@register.filter
def field_word(name: str) -> str:
    """Which answer of a form was compared: the machine of a grid, else the question."""
    question, _, machine = name.partition("/")
    return machine or question.replace("_", " ").capitalize()


@register.filter
def get(items: dict[str, object], key: str) -> object:
    """A value by its key; None where there is none."""
    return items.get(key)


@register.filter
def x_of_n(rate: Rate) -> str:
    """Exceptions of assessed units."""
    return words.x_of_n(rate.exceptions, rate.assessed)


@register.filter
def rate_words(rate: Rate) -> str:
    """A rate with its exact bounds, in words."""
    if rate.rate is None:
        return words.DASH
    if rate.lower is None or rate.upper is None:
        return words.share(rate.rate)
    lower = words.share(rate.lower).removesuffix(" %")
    return f"{words.share(rate.rate)}, between {lower} and {words.share(rate.upper)}"


@register.filter
def prose(text: str) -> Markup:
    """Prose of a record test as HTML; everything in it was escaped."""
    return to_html(text)

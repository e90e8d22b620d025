"""Filters of the audit's pages: local time, ages, texts behind their marks."""

from datetime import datetime, timedelta

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from witnessmark.audit.event import BrokenEventError, moment_of
from witnessmark.web.desk.audit_page import AuditPage

register = template.Library()
MINUTES = 60
HOURS = 24


@register.simple_tag(takes_context=True)
def at(context: template.Context, instant: str, form: str = "%a %d %b, %H:%M") -> SafeString:
    """An instant of the journal in the plant's time, with the exact one behind it."""
    page: AuditPage = context["page"]
    if not instant:
        return format_html('<span class="soft">no time</span>')
    try:
        moment = moment_of(instant).astimezone(page.zone)
    except BrokenEventError:
        return format_html("{}", instant)
    return format_html('<time datetime="{}">{}</time>', instant, moment.strftime(form))


@register.simple_tag(takes_context=True)
def clock(context: template.Context, instant: str) -> SafeString:
    """Only the time of day of an instant, in the plant's time."""
    return at(context, instant, "%H:%M")


@register.simple_tag(takes_context=True)
def age(context: template.Context, instant: str) -> str:
    """How long ago, or how long until, in words: "4 min ago", "in 2 h"."""
    page: AuditPage = context["page"]
    try:
        return in_words(moment_of(instant) - page.now)
    except BrokenEventError:
        return ""


@register.simple_tag(takes_context=True)
def text_of(context: template.Context, mark: str) -> SafeString:
    """The text behind a mark, or that it was destroyed."""
    page: AuditPage = context["page"]
    text = page.reveal(mark)
    if text is None:
        return format_html('<span class="tag">destroyed</span>')
    return format_html("{}", text)


def in_words(gap: timedelta) -> str:
    """A span until (positive) or since (negative), short and whole."""
    minutes = round(abs(gap.total_seconds()) / MINUTES)
    if minutes < MINUTES:
        told = f"{minutes} min"
    elif minutes < HOURS * MINUTES:
        told = f"{minutes // MINUTES} h {minutes % MINUTES:02d}"
    else:
        told = f"{minutes // (HOURS * MINUTES)} d"
    return f"in {told}" if gap > timedelta() else f"{told} ago"


@register.filter
def local_input(instant: str, page: AuditPage) -> str:
    """An instant as an input of type datetime-local takes it, in the plant's time."""
    if not instant:
        return ""
    moment: datetime = moment_of(instant).astimezone(page.zone)
    return moment.strftime("%Y-%m-%dT%H:%M")

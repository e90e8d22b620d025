"""Tags that draw the parts of the design which hold a decision, so that it is made once."""

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

register = template.Library()

PATTERNS = {
    # trails
    "open": "",
    "waiting": "half",
    "parked": "dashed",
    "supported": "full",
    "refuted": "barred",
    "undetermined": "hatched",
    "transferred": "away",
    # steps, promises, requests
    "due": "half",
    "done": "full",
    "refused": "crossed",
    "impossible": "crossed",
    "overtaken": "barred",
    # findings
    "draft": "dashed",
    "graded": "half",
    "issued": "full",
    "closed": "barred",
    "withdrawn": "crossed",
    # responses
    "accepted": "full",
    "returned": "away",
    # jobs
    "running": "half",
    "failed": "crossed",
    "interrupted": "hatched",
}


@register.simple_tag
def state(name: str, word: str = "", urgent: bool = False) -> SafeString:
    """A state as a word with its pattern.

    Args:
        name: One of PATTERNS; an unknown one gets the empty square, and its word says what it is.
        word: What is written, where it is not the name itself.
        urgent: Whether it must be seen first; its word must say why.
    """
    classes = ["state", PATTERNS.get(name, ""), "urgent" if urgent else ""]
    written = word or name.replace("-", " ").capitalize()
    return format_html('<span class="{}">{}</span>', " ".join(filter(None, classes)), written)

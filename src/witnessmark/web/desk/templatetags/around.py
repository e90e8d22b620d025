"""Tags of the pages around an audit: days, accounts, counts, words for states."""

from datetime import date

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from witnessmark.audit.cited import Cited, Fact
from witnessmark.audit.handover_card import MATTERS, Matter
from witnessmark.audit.items import Finding, Member, Response
from witnessmark.audit.people import Role
from witnessmark.web.desk.around.people import names_of
from witnessmark.web.desk.around.words import CITED, FINDING_STATES, GRADES, RESPONSE, ROLES
from witnessmark.web.desk.audit_page import AuditPage
from witnessmark.web.desk.working.pieces import piece_of
from witnessmark.web.pages.templatetags.parts import state

register = template.Library()
DAYS = ("due", "implemented_on")


@register.filter
def day(on: str) -> SafeString | str:
    """A day as people write it; what is no day stays as it is."""
    try:
        read = date.fromisoformat(on[:10])
    except (ValueError, TypeError):
        return on
    return format_html('<time datetime="{}">{}</time>', on[:10], f"{read.day} {read:%b %Y}")


@register.simple_tag(takes_context=True)
def who(context: template.Context, code: str) -> str:
    """The name of an account as others see it; the code where it is not of this installation."""
    return names_of(context["request"]).get(code, code)


@register.simple_tag
def finding_state(finding: Finding) -> SafeString:
    """Where a finding stands, in a word with its pattern."""
    return state(finding.state, FINDING_STATES[finding.state])


@register.filter
def grade_word(grade: str) -> str:
    """A grade in a word."""
    return GRADES.get(grade, grade)


@register.filter
def role_word(role: str) -> str:
    """A role in words."""
    return ROLES.get(role, role)


@register.filter
def counted(fact: Fact) -> str:
    """`46 of 212`; empty where nothing was counted."""
    return "" if fact.x is None or fact.n is None else f"{fact.x:,} of {fact.n:,}"


@register.filter
def response_lines(response: Response) -> list[tuple[str, SafeString | str]]:
    """What an answer says, with its labels; only what is there."""
    lines = ((name, label, str(getattr(response, name))) for name, label in RESPONSE.items())
    return [(label, day(text) if name in DAYS else text) for name, label, text in lines if text]


@register.simple_tag(takes_context=True)
def cited_in_words(context: template.Context, cited: Cited | None) -> SafeString | str:
    """What a fact was read from, in words, and a link for who may follow it.

    A protected source is never named; an auditee gets no link into the audit.
    """
    if cited is None:
        return "own words"
    page: AuditPage = context["page"]
    if cited.kind in {"outcome", "stratum", "row"}:
        more = cited.ref or cited.stratum.replace("=", ": ")
        told = format_html("record test <code>{}</code>", cited.slug)
        told = format_html("{}, {}", told, more) if more else told
    else:
        said = page.state.statements.get(cited.id)
        if said is not None and said.protected:
            return "a source"
        told = format_html("{}", CITED.get(cited.kind, cited.kind))
    piece = piece_of(page, cited) if page.actor.role != Role.AUDITEE else None
    return format_html('<a href="{}">{}</a>', piece.href, told) if piece else told


@register.simple_tag(takes_context=True)
def member_words(context: template.Context, member: Member) -> str:
    """A member as the desk names them: by account, else by function."""
    names = names_of(context["request"])
    return names.get(member.user) or member.function or "Without an account"


@register.filter
def suspects(rows: list[tuple[Finding, object]]) -> bool:
    """Whether any of these findings concerns suspect product."""
    return any(item.suspect_product for item, _ in rows)


@register.filter
def plainly(name: str) -> str:
    """The name of a table in plain words."""
    return name.replace("_", " ")


@register.filter
def matter_words(matter: Matter) -> str:
    """An open matter in words."""
    return MATTERS.get(matter.kind, matter.kind)


@register.simple_tag(takes_context=True)
def now_said(context: template.Context) -> str:
    """This moment in the plant's time; a printed card says when it was made."""
    page: AuditPage = context["page"]
    return f"As of {page.now.astimezone(page.zone):%a %d %b, %H:%M}"

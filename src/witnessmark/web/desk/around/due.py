"""Dates of a finding in words: what is due next, what is overdue, what has come.

Which part of an answer a date waits for is read from its own words; a date whose words say none
of them stays open until the finding is closed.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

from django.conf import settings

from witnessmark.audit.act import now
from witnessmark.audit.deadlines import Profile, profiles
from witnessmark.audit.items import Finding, Response

OWN_FILE = "deadlines.toml"


@dataclass(frozen=True)
class Due:
    """One date of a finding.

    Args:
        step: What is due.
        on: The last day in time.
        is_met: Whether what it waits for has come, and was not returned.
        is_over: Whether it is past and was not met.
        said: In words.
    """

    step: str
    on: str
    is_met: bool
    is_over: bool
    said: str


def own_profiles() -> Path | None:
    """The plant's own profiles, where the data folder holds a file of them."""
    path: Path = settings.CONFIG.data.path / OWN_FILE
    return path if path.exists() else None


def all_profiles() -> dict[str, Profile]:
    """Every profile by name, the plant's own first among equals."""
    return profiles(own_profiles())


def profile_choices() -> list[tuple[str, str]]:
    """Profiles that have dates, for a choice."""
    return [(name, profile.title) for name, profile in all_profiles().items() if profile.steps]


def dues_of(finding: Finding, zone: str) -> list[Due]:
    """The dates of a finding: what is still owed first, then by day; none once it is closed."""
    if finding.state != "issued":
        return []
    today = now().astimezone(ZoneInfo(zone)).date()
    dues = [_due(finding, step, on, today) for step, on in finding.due.items()]
    return sorted(dues, key=lambda due: (due.is_met, due.on, due.step))


def _due(finding: Finding, step: str, on: str, today: date) -> Due:
    is_met = has_come(finding, step)
    try:
        days = (date.fromisoformat(on) - today).days
    except ValueError:
        return Due(step, on, is_met, is_over=False, said=on)
    return Due(step, on, is_met, days < 0 and not is_met, "met" if is_met else in_days(days))


def in_days(days: int) -> str:
    """Days until (positive) or since (negative), in words."""
    many = f"{abs(days)} day{'' if abs(days) == 1 else 's'}"
    if days == 0:
        return "due today"
    return f"in {many}" if days > 0 else f"overdue by {many}"


def has_come(finding: Finding, step: str) -> bool:
    """Whether everything that the words of a date name has come."""
    told = step.casefold()
    looks = [look for word, look in NAMED.items() if word in told]
    return bool(looks) and all(look(finding) for look in looks)


def _standing(finding: Finding, has: Callable[[Response], str]) -> bool:
    return any(has(item) for item in finding.responses if item.verdict != "returned")


NAMED: Mapping[str, Callable[[Finding], bool]] = {
    "own route": lambda finding: bool(finding.routes),
    "containment": lambda finding: _standing(finding, lambda item: item.containment),
    "cause": lambda finding: _standing(
        finding, lambda item: item.cause_occurrence or item.cause_detection or item.cause_system
    ),
    "action": lambda finding: _standing(finding, lambda item: item.action),
    "carried out": lambda finding: _standing(finding, lambda item: item.implemented_on),
    "verified": lambda finding: bool(finding.verifications),
    "accepted": lambda finding: any(item.verdict == "accepted" for item in finding.responses),
}


def waits_for(finding: Finding) -> str:
    """What an issued finding waits for next, in words."""
    if finding.state != "issued":
        return ""
    last = finding.responses[-1] if finding.responses else None
    if last is None:
        return "Waits for the first answer."
    if not last.verdict:
        return "An answer waits to be judged."
    if last.verdict == "returned":
        return "The answer was returned; the next one is awaited."
    if not finding.verifications:
        return "The answer is accepted; its effect is not verified yet."
    return "The effect was looked at; the lead auditor decides whether it is closed."

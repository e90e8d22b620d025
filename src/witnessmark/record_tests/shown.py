"""Values as a reader sees them: plant time, durations, refs.

This module knows no test and no report.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

SECONDS = 60


def shown_instant(at: datetime, zone: ZoneInfo) -> str:
    """A UTC instant as the plant's wall clock; with its offset where the hour occurs twice."""
    local = at.replace(tzinfo=UTC).astimezone(zone)
    text = local.strftime("%Y-%m-%d %H:%M:%S" if local.second else "%Y-%m-%d %H:%M")
    other = local.replace(fold=1 - local.fold)
    if other.utcoffset() != local.utcoffset() and other.astimezone(UTC) != local.astimezone(UTC):
        return text + local.strftime("%z")[:3] + ":" + local.strftime("%z")[3:]
    return text


def shown_duration(seconds: float) -> str:
    """Seconds as hours and minutes, `2 h 15 min`; seconds are named where they are not zero."""
    sign, rest = ("-" if seconds < 0 else ""), abs(round(seconds))
    hours, minutes, left = rest // 3600, rest // SECONDS % SECONDS, rest % SECONDS
    parts = [f"{hours} h"] if hours else []
    if minutes or (not hours and not left):
        parts.append(f"{minutes} min")
    if left:
        parts.append(f"{left} s")
    return sign + " ".join(parts)


def shown(name: str, value: object, zone: ZoneInfo) -> str:
    """A column's value for a sentence: instants local, `_s` as a duration, empty as a dash."""
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return shown_instant(value, zone)
    if isinstance(value, int | float | Decimal) and name.endswith("_s"):
        return shown_duration(float(value))
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    if isinstance(value, float):
        return f"{value:.4g}"
    if isinstance(value, list | tuple):
        return ", ".join(shown(name, item, zone) for item in value) or "–"
    return str(value)


def ref_of(row: Mapping[str, object], key: Sequence[str]) -> str:
    """The ref of a unit: its key values joined with `/`; empty optional ones are skipped."""
    return "/".join(_ref_part(row[name]) for name in key if row[name] is not None)


def _ref_part(value: object) -> str:
    if isinstance(value, datetime):
        return value.strftime("%Y-%m-%dT%H:%MZ" if not value.second else "%Y-%m-%dT%H:%M:%SZ")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return str(value)

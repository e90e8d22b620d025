"""The thresholds with their defaults, from the declaration of the criteria."""

from pages.markdown import page, table
from witnessmark.criteria.keys import KEYS, Key

SOURCE = "src/witnessmark/criteria/keys.py"

INTRODUCTION = """
A criterion is a threshold that a record test uses. The plant's own rule always overrides the
default: write it into `criteria.toml` with the document it stands in.

```toml
[late_entry_min]
value = 20
document = "WI-07 rev 3, 4.2"
```

Every default that was used is printed with the result, together with what would change if the
other value of the table below were in force. Durations are written in minutes; a query receives
them as whole seconds.
"""


def pages() -> dict[str, str]:
    """The one page of the criteria."""
    rows = [
        (f"`{key.name}`", _value(key, key.default), _value(key, key.vary_to), key.about, key.source)
        for key in KEYS.values()
    ]
    heads = ["criterion", "default", "tried with", "what it decides", "where the default is from"]
    return {"reference/criteria.md": page("Criteria", SOURCE, [INTRODUCTION, table(heads, rows)])}


def _value(key: Key, value: object) -> str:
    unit = "" if key.kind == "share" else key.unit
    return f"{value} {unit}".strip()

"""Whether there is a desktop to open something on."""

import os
import sys


def has_desktop() -> bool:
    """Whether a browser window could be seen here; a terminal browser would only be in the way."""
    return sys.platform in {"darwin", "win32"} or bool(
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    )

"""File names that come from outside, made harmless; none is ever used as a path."""

import re
import unicodedata

LONGEST = 120
_UNWANTED = re.compile(r'[\x00-\x1f\x7f<>:"/\\|?*\u200b-\u200f\u2028-\u202e\u2066-\u2069]')
_RESERVED = re.compile(r"(?i)^(con|prn|aux|nul|com\d|lpt\d)(\.|$)")


def safe_file_name(given: str, otherwise: str = "file") -> str:
    """A name to show and to offer for saving: its last part, without anything that could act.

    Args:
        given: As the sender called it, perhaps with folders, control or direction marks.
        otherwise: What is taken where nothing is left.
    """
    last = re.split(r"[/\\]", unicodedata.normalize("NFC", given))[-1]
    clean = re.sub(r"\s+", " ", _UNWANTED.sub("", last)).strip(" .")
    if _RESERVED.match(clean):
        clean = f"_{clean}"
    return _shortened(clean) or otherwise


def _shortened(name: str) -> str:
    if len(name) <= LONGEST:
        return name
    stem, dot, ending = name.rpartition(".")
    if not dot or len(ending) > 10:  # noqa: PLR2004 - longer is no ending but prose
        return name[:LONGEST]
    return f"{stem[: LONGEST - len(ending) - 1]}.{ending}"

"""What a text file is before its rows are read: encoding, delimiter, and whether it is text at all.

Detection answers only what the bytes prove; what they leave open is a fault that says so. This
module knows neither headings nor tables.
"""

import codecs
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from witnessmark.errors import Fault, UnusableInputError, Where

DELIMITERS = ",;\t|"
CHUNK = 1 << 22
HEAD = 1 << 16
SAMPLE_LINES = 200
WRONG_KINDS = {
    b"PK\x03\x04": "a workbook or another zipped file",
    b"\xd0\xcf\x11\xe0": "an old-style workbook",
    b"PAR1": "a Parquet file",
    b"%PDF": "a PDF document",
    b"\x1f\x8b": "a compressed file",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
}


def check_is_text(path: Path, name: str) -> None:
    """Refuses a file that is empty or that its first bytes show to be something else than text.

    Raises:
        UnusableInputError: Says what it seems to be.
    """
    with path.open("rb") as file:
        head = file.read(HEAD)
    where = Where(name)
    if not head.strip(b"\xef\xbb\xbf \t\r\n"):
        raise UnusableInputError.one(
            where, "the file is empty.", "a header and rows", "Export it again, or leave it out."
        )
    for magic, kind in WRONG_KINDS.items():
        if head.startswith(magic):
            raise UnusableInputError.one(where, f"this is {kind}, not a text file.", "rows of text")
    if b"\x00" in head and _wide(head) is None:
        raise UnusableInputError.one(
            where, "this is a binary file, not a text file.", "rows of text"
        )


def _wide(head: bytes) -> str | None:
    """The two-byte encoding of a file, by its mark or by the zeros beside plain letters."""
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    even, odd = head[0:2000:2].count(0), head[1:2000:2].count(0)
    half = max(1, len(head[:2000]) // 2)
    if odd > half * 0.6 and even == 0:
        return "utf-16-le"
    if even > half * 0.6 and odd == 0:
        return "utf-16-be"
    return None


def encoding_of(path: Path, name: str) -> str:
    """The encoding that every line of the file fits: utf-8, utf-8-sig, utf-16 or cp1252.

    A file is UTF-8 when all its bytes are; it is Windows-1252 when no line beyond ASCII is UTF-8.

    Raises:
        UnusableInputError: Lines of both kinds, or bytes that are neither; names the lines.
    """
    with path.open("rb") as file:
        head = file.read(HEAD)
    wide = _wide(head)
    if wide is not None:
        _check_decodes(path, name, wide)
        return wide
    if _decodes(path, "utf-8"):
        return "utf-8-sig" if head.startswith(codecs.BOM_UTF8) else "utf-8"
    _check_one_encoding(path, name)
    return "cp1252"


def _decodes(path: Path, encoding: str) -> bool:
    decoder = codecs.getincrementaldecoder(encoding)()
    try:
        with path.open("rb") as file:
            while block := file.read(CHUNK):
                decoder.decode(block)
            decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def _check_decodes(path: Path, name: str, encoding: str) -> None:
    if not _decodes(path, encoding):
        raise UnusableInputError.one(
            Where(name), f"the bytes are not {encoding} throughout.", mend="Export it again."
        )


def _check_one_encoding(path: Path, name: str) -> None:
    """Refuses a file in which some lines are UTF-8 and others cannot be."""
    faults: list[Fault] = []
    proof: int | None = None
    with path.open("rb") as file:
        for number, line in enumerate(file, 1):
            if line.isascii():
                continue
            try:
                line.decode("utf-8")
                proof = proof or number
            except UnicodeDecodeError as error:
                faults.append(_not_both(name, number, line, error.start))
    if proof is not None:
        raise UnusableInputError(
            [
                Fault(
                    Where(name, row=proof),
                    "this line is UTF-8 and other lines are not: the file mixes encodings.",
                    "one encoding",
                    "Export it again, or save it whole as UTF-8.",
                ),
                *faults,
            ]
        )
    undefined = [fault for fault in faults if "Windows-1252" in fault.what]
    if undefined:
        raise UnusableInputError(undefined)


def _not_both(name: str, number: int, line: bytes, at: int) -> Fault:
    where = Where(name, row=number)
    shown = f"byte 0x{line[at]:02X} at position {at + 1}"
    try:
        line.decode("cp1252")
    except UnicodeDecodeError:
        what = f"{shown} is neither UTF-8 nor Windows-1252."
        return Fault(where, what, mend="Name the encoding in mapping.toml.")
    return Fault(where, f"{shown} is not UTF-8.")


def check_encoding(path: Path, name: str, encoding: str) -> None:
    """Refuses an encoding that a mapping states and that the bytes contradict; names the line.

    Raises:
        UnusableInputError: No such encoding, or a line that is not in it.
    """
    try:
        codecs.lookup(encoding)
    except LookupError as error:
        raise UnusableInputError.one(
            Where(name), f'"{encoding}" is no known encoding.', "utf-8, cp1252 or utf-16"
        ) from error
    if _decodes(path, encoding):
        return
    line = 1
    with path.open("rb") as file:
        for line, text in enumerate(file, 1):  # noqa: B007  # the last line is the answer
            try:
                text.decode(encoding)
            except UnicodeDecodeError:
                break
    raise UnusableInputError.one(Where(name, row=line), f"this line is not in {encoding}.")


def lines_of(path: Path, encoding: str) -> Iterator[str]:
    """The lines of a file without their ends."""
    with path.open(encoding=encoding, newline="") as file:
        for line in file:
            yield line.rstrip("\r\n")


def delimiter_of(path: Path, name: str, encoding: str) -> str:
    """The character between cells: the one that cuts most lines into the same number of cells.

    Raises:
        UnusableInputError: Two candidates cut equally well, so that nobody can tell.
    """
    lines = []
    for line in lines_of(path, encoding):
        if line.strip():
            lines.append(line)
        if len(lines) >= SAMPLE_LINES:
            break
    scores = {}
    for mark in DELIMITERS:
        counts = Counter(_outside_quotes(line, mark) for line in lines)
        width, agreeing = max(counts.items(), key=lambda item: (item[0] > 0, item[1], item[0]))
        scores[mark] = (agreeing, width) if width else (0, 0)
    best = max(scores.values())
    if best == (0, 0):
        return ","
    leading = [mark for mark, score in scores.items() if score == best]
    # Where rows cut alike, the first line (a heading seldom holds a list) has the word.
    leading = [mark for mark in leading if mark in lines[0]] or leading
    if len(leading) > 1:
        shown = " and ".join(repr(mark) for mark in leading)
        raise UnusableInputError.one(
            Where(name),
            f"the cells may be divided by {shown}: both cut every line alike.",
            mend="Name the delimiter in mapping.toml.",
        )
    return leading[0]


def _outside_quotes(line: str, mark: str) -> int:
    if '"' not in line:
        return line.count(mark)
    return sum(part.count(mark) for part in line.split('"')[::2])

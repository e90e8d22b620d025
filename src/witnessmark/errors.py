"""What can go wrong, said so that the reader can mend it.

Data faults are values (a refused row, a unit that is not assessable); what stands here are the
faults of a user's file or of a program, one class per fault that a caller can act on. This module
knows nothing of the rest of the package.
"""

from collections.abc import Sequence
from dataclasses import dataclass

SHOWN = 5


@dataclass(frozen=True)
class Where:
    """A place in a file, as a person would point at it.

    Args:
        file: Name of the file, without its folder.
        sheet: Sheet of a workbook.
        row: Row as the file's own program counts it, from 1.
        column: Heading or letter of the column.
    """

    file: str
    sheet: str | None = None
    row: int | None = None
    column: str | None = None

    def __str__(self) -> str:
        parts = [self.file]
        if self.sheet is not None:
            parts.append(f'sheet "{self.sheet}"')
        if self.row is not None:
            parts.append(f"row {self.row}")
        if self.column is not None:
            parts.append(f'column "{self.column}"')
        return ", ".join(parts)


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong: where, what, what was expected, how to mend it."""

    where: Where
    what: str
    expected: str = ""
    mend: str = ""

    def __str__(self) -> str:
        said = [f"{self.where}: {self.what}"]
        if self.expected:
            said.append(f"Expected {self.expected}.")
        if self.mend:
            said.append(self.mend)
        return " ".join(said)


class WitnessmarkError(Exception):
    """Any refusal of this tool; its text is meant for the user, never a traceback."""


class UnusableInputError(WitnessmarkError):
    """Input that cannot be used as it is: all faults of a kind at once, the first five shown."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        lines = [str(fault) for fault in self.faults[:SHOWN]]
        if len(self.faults) > SHOWN:
            lines.append(f"... and {len(self.faults) - SHOWN} more of these.")
        super().__init__("\n".join(lines))

    @classmethod
    def one(
        cls, where: Where, what: str, expected: str = "", mend: str = ""
    ) -> "UnusableInputError":
        """A refusal for a single fault."""
        return cls([Fault(where, what, expected, mend)])


class RecordTestError(WitnessmarkError):
    """A record test that breaks one of the engine's guarantees; names the test."""

    def __init__(self, slug: str, what: str, mend: str = "") -> None:
        super().__init__(f"Record test {slug}: {what}" + (f" {mend}" if mend else ""))
        self.slug = slug


class UnfitNumbersError(WitnessmarkError, ValueError):
    """Numbers that a statistic cannot be made of: what was given, and what it needs."""

    def __init__(self, given: str, needs: str) -> None:
        super().__init__(f"{given}: needs {needs}.")

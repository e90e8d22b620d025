"""The options of every command that reads a file somebody brings.

This module knows no statistic.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from witnessmark.errors import UnusableInputError, Where
from witnessmark.records.heading_words import PERSON_WORDS, says
from witnessmark.records.study_table import StudyTable, read_study


@Parameter(name="*")
@dataclass(frozen=True)
class Reading:
    """How a file is read; what is not said is proved by its cells, or refused.

    Args:
        sheet: Sheet of a workbook, where several hold data.
        only: Rows to take: `--only machine=L1`; may be given several times.
        decimal: Decimal mark, where the cells leave it open.
        dates: Date format such as DD.MM.YYYY, where the cells leave it open.
    """

    sheet: str | None = None
    only: Annotated[list[str] | None, Parameter(negative="")] = None
    decimal: Literal[".", ","] | None = None
    dates: str | None = None

    def read(self, file: Path) -> StudyTable:
        """The rows of the file that are asked for.

        Raises:
            UnusableInputError: The file, or a name in `only`, cannot be used.
        """
        study = read_study(file, self.sheet, self.decimal, self.dates)
        for condition in self.only or []:
            column, mark, text = condition.partition("=")
            if not mark:
                raise UnusableInputError.one(
                    Where("--only"), f'"{condition}".', "a column and its cell, such as machine=L1"
                )
            study = study.only(column.strip(), text.strip())
        return study


AS_WRITTEN = Reading()


def refuse_persons(option: str, column: str) -> None:
    """Refuses to split a statistic by person: nobody is ranked.

    Raises:
        UnusableInputError: The heading speaks of persons.
    """
    if says(column, PERSON_WORDS) is not None:
        raise UnusableInputError.one(
            Where(option), f'"{column}" speaks of persons.', "a machine, a place, a shift or a kind"
        )

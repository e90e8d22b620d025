"""The canonical table `working_days`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="working_days",
    group="Plant",
    about=(
        "One calendar day of one area, and whether it is a working day. Plants keep it in "
        "the works calendar. It is used to count working days; where the table is absent, "
        "Monday to Friday count."
    ),
    columns=(
        Column("area", "text", "The area that the calendar holds for.", key=True),
        Column("day", "date", "The calendar day.", key=True),
        Column("works", "bool", "Whether the day counts as a working day."),
    ),
)

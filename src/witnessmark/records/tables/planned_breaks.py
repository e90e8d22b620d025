"""The canonical table `planned_breaks`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="planned_breaks",
    group="Plant",
    about=(
        "One planned break of a shift in an area. Plants keep it in the shift agreement. It "
        "is used to ask who looked after machines that ran on through the break."
    ),
    columns=(
        Column("area", "text", "The area whose people take the break.", key=True),
        Column("production_date", "date", "The production day of the shift.", key=True),
        Column("shift", "text", "The shift in which the break lies.", key=True),
        Column("no", "int", "Number of the break within the shift.", key=True),
        Column("start_at", "instant", "Planned start of the break."),
        Column("end_at", "instant", "Planned end of the break."),
        Column(
            "relief_rule",
            "text",
            "How machines are looked after during the break, in the plant's words. Empty: no "
            "rule is written.",
            optional=True,
        ),
    ),
    ranges=(("start_at", "end_at"),),
)

"""The canonical table `shift_instances`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="shift_instances",
    group="Plant",
    about=(
        "One shift of one area as it was worked, with its true start and end. Plants keep "
        "it in the shift calendar or the time system. It decides which day and shift an "
        "event belongs to."
    ),
    columns=(
        Column("area", "text", "The area that the shift belongs to.", key=True),
        Column(
            "production_date",
            "date",
            "The day the plant books the shift to; a night shift may belong to the day before "
            "or after.",
            key=True,
        ),
        Column("shift", "text", "The plant's own name of the shift.", key=True),
        Column("start_at", "instant", "When the shift began."),
        Column("end_at", "instant", "When the shift ended."),
        Column(
            "overtime",
            "bool",
            "Whether the shift was worked as overtime, outside the regular pattern.",
        ),
    ),
    ranges=(("start_at", "end_at"),),
)

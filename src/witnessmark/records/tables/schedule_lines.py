"""The canonical table `schedule_lines`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="schedule_lines",
    group="Schedule and delivery",
    about=(
        "One order on one machine in one version of the schedule. Plants keep it in the "
        "planning system, which often keeps the last version only. It is used to ask "
        "whether plans were met and whether they were rewritten."
    ),
    columns=(
        Column("order_no", "text", "The production order.", key=True),
        Column("machine_id", "text", "The machine it is planned on.", key=True),
        Column("version", "int", "Number of the version; a later one is larger.", key=True),
        Column("version_at", "instant", "When the version was made or printed."),
        Column(
            "frozen", "bool", "Whether the line was inside the plant's frozen time in this version."
        ),
        Column("part_no", "text", "The part."),
        Column("qty", "int", "Pieces planned.", unit="pieces"),
        Column("start_at", "instant", "Planned start."),
        Column("end_at", "instant", "Planned end."),
    ),
    ranges=(("start_at", "end_at"),),
)

"""The canonical table `outputs`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="outputs",
    group="Running",
    about=(
        "Pieces that were reported for a machine, a shift and a part. Plants keep it in "
        "shift reports or order feedback. It is compared with counters, schedules and board "
        "figures."
    ),
    columns=(
        Column("machine_id", "text", "The machine that made the pieces.", key=True),
        Column("production_date", "date", "The production day.", key=True),
        Column("shift", "text", "The shift.", key=True),
        Column("part_no", "text", "The part.", key=True),
        Column("good", "int", "Good pieces reported.", unit="pieces"),
        Column(
            "scrap",
            "int",
            "Scrapped pieces reported. Empty: not reported, which is not zero.",
            unit="pieces",
            optional=True,
        ),
        Column(
            "rework",
            "int",
            "Pieces set aside for rework. Empty: not reported, which is not zero.",
            unit="pieces",
            optional=True,
        ),
        Column(
            "entered_at",
            "instant",
            "When the figures were entered. Empty: not recorded; what was known at a given time "
            "cannot be told.",
            optional=True,
        ),
    ),
)

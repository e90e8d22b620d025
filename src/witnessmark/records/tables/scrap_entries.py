"""The canonical table `scrap_entries`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="scrap_entries",
    group="Material, lots, product on hold",
    about=(
        "One booking of scrapped pieces. Plants keep it in order feedback or scrap tags, "
        "often booked when the bin is emptied. It is used to find bursts and to balance "
        "quantities."
    ),
    columns=(
        Column("scrap_id", "text", "Id of the booking.", key=True),
        Column("machine_id", "text", "The machine that made the pieces."),
        Column("booked_at", "instant", "When it was booked."),
        Column(
            "production_date",
            "date",
            "The production day it was booked to. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "reason",
            "text",
            "Reason in the plant's own words. Empty: no reason was coded.",
            optional=True,
        ),
        Column("qty", "int", "Pieces scrapped.", unit="pieces"),
        Column("run_id", "text", "The run that made them. Empty: not recorded.", optional=True),
    ),
)

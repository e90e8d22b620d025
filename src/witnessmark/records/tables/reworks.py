"""The canonical table `reworks`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="reworks",
    group="Material, lots, product on hold",
    about=(
        "One rework of pieces. Plants keep it in rework bookings or on the hold tag. It is "
        "used to ask whether rework had an instruction, an approval and a new inspection."
    ),
    columns=(
        Column("rework_id", "text", "Id of the rework.", key=True),
        Column(
            "hold_id",
            "text",
            "The hold that the pieces came from. Empty: none is named.",
            optional=True,
        ),
        Column("qty_in", "int", "Pieces that went in.", unit="pieces"),
        Column(
            "qty_ok",
            "int",
            "Pieces that came out good. Empty: not reported.",
            unit="pieces",
            optional=True,
        ),
        Column(
            "instruction",
            "text",
            "The instruction that was followed. Empty: none is named.",
            optional=True,
        ),
        Column(
            "reinspection_ref",
            "text",
            "Record of the inspection afterwards. Empty: none is named.",
            optional=True,
        ),
        Column(
            "approved_by",
            "text",
            "Key or role of who approved the rework. Empty: not recorded.",
            optional=True,
        ),
        Column("done_at", "instant", "When it was done. Empty: not recorded.", optional=True),
    ),
)

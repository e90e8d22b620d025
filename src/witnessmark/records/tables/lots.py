"""The canonical table `lots`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="lots",
    group="Material, lots, product on hold",
    about=(
        "One lot or container of parts. Plants keep it in lot cards or stock bookings. It "
        "is used to find which product a doubtful time touches."
    ),
    columns=(
        Column("lot_no", "text", "The plant's own lot number.", key=True),
        Column("part_no", "text", "The part."),
        Column(
            "op", "text", "The operation that filled the lot. Empty: not recorded.", optional=True
        ),
        Column(
            "machine_id",
            "text",
            "The machine that filled it. Empty: not recorded, or several.",
            optional=True,
        ),
        Column("qty", "int", "Pieces in the lot.", unit="pieces"),
        Column(
            "opened_at",
            "instant",
            "When the first piece went in. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "closed_at",
            "instant",
            "When the last piece went in. Empty: still open, or not recorded.",
            optional=True,
        ),
        Column(
            "moved_at",
            "instant",
            "When it left the machine's place. Empty: not moved, or not recorded.",
            optional=True,
        ),
        Column("order_no", "text", "The production order. Empty: not recorded.", optional=True),
        Column(
            "container", "text", "The container it lies in. Empty: not recorded.", optional=True
        ),
        Column(
            "concession_id",
            "text",
            "The concession it was made or shipped under. Empty: none.",
            optional=True,
        ),
    ),
    ranges=(("opened_at", "closed_at"),),
)

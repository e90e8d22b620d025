"""The canonical table `lot_links`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="lot_links",
    group="Material, lots, product on hold",
    about=(
        "One lot that went into another, by mixing, splitting or the next operation. Plants "
        "keep it in stock bookings. It is used to follow doubtful product to everything it "
        "may be in."
    ),
    columns=(
        Column("from_lot", "text", "The lot that was taken from.", key=True),
        Column("to_lot", "text", "The lot that received the pieces.", key=True),
        Column(
            "qty",
            "int",
            "Pieces that went over. Empty: not recorded; all of the lot is assumed to be "
            "concerned.",
            unit="pieces",
            optional=True,
        ),
        Column(
            "op", "text", "The operation at which it happened. Empty: not recorded.", optional=True
        ),
        Column("linked_at", "instant", "When it happened. Empty: not recorded.", optional=True),
    ),
)

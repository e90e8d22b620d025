"""The canonical table `shipment_lines`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="shipment_lines",
    group="Material, lots, product on hold",
    about=(
        "One line of a shipment. Plants keep it in the shipping system. It is used to ask "
        "what left the plant, when, and for which order."
    ),
    columns=(
        Column("ship_no", "text", "Number of the shipment.", key=True),
        Column("line", "text", "Line of the shipment.", key=True),
        Column(
            "customer_order",
            "text",
            "The order line's number at the customer. Empty: not recorded.",
            optional=True,
        ),
        Column("part_no", "text", "The part."),
        Column(
            "lot_no",
            "text",
            "The lot that was shipped. Empty: not recorded; the line cannot be traced.",
            optional=True,
        ),
        Column("qty", "int", "Pieces shipped.", unit="pieces"),
        Column("shipped_at", "instant", "When it left."),
        Column(
            "premium_freight",
            "bool",
            "Whether it went by a faster way at extra cost. Empty: not recorded.",
            optional=True,
        ),
    ),
)

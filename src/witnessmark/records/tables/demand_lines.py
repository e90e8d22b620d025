"""The canonical table `demand_lines`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="demand_lines",
    group="Schedule and delivery",
    about=(
        "One line of a customer's order. Plants keep it in the order system. It is used to "
        "compare delivery with the date first agreed."
    ),
    columns=(
        Column("customer_order", "text", "The customer's order.", key=True),
        Column("line", "text", "Line of the order.", key=True),
        Column("part_no", "text", "The part."),
        Column("qty", "int", "Pieces ordered.", unit="pieces"),
        Column("due_original", "date", "The due date first agreed."),
        Column(
            "due_promised",
            "date",
            "A later date that the plant promised instead. Empty: none.",
            optional=True,
        ),
    ),
)

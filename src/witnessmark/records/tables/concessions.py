"""The canonical table `concessions`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="concessions",
    group="Material, lots, product on hold",
    about=(
        "One leave by the customer to use or ship a part that departs from its requirement. "
        "Plants keep it with the quality agreements. It is used to ask whether its limits "
        "were kept."
    ),
    columns=(
        Column("concession_id", "text", "Id of the concession.", key=True),
        Column("part_no", "text", "The part."),
        Column(
            "qty_limit",
            "int",
            "The most pieces it covers. Empty: no quantity is stated.",
            unit="pieces",
            optional=True,
        ),
        Column(
            "valid_to",
            "date",
            "Last day that it holds, that day included. Empty: no end is stated.",
            optional=True,
        ),
        Column(
            "customer_ref", "text", "The customer's reference. Empty: not recorded.", optional=True
        ),
    ),
)

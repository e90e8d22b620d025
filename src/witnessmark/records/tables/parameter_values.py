"""The canonical table `parameter_values`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="parameter_values",
    group="Running",
    about=(
        "One actual value of a process parameter. Machine controls and loggers keep it. It "
        "is compared with the limits of the set-up sheet."
    ),
    columns=(
        Column("machine_id", "text", "The machine.", key=True),
        Column(
            "parameter",
            "text",
            "The plant's own name of the parameter, as the limits name it.",
            key=True,
        ),
        Column("measured_at", "instant", "When the value was read.", key=True),
        Column("value", "decimal", "The value."),
        Column("unit", "text", "Unit of the value."),
    ),
)

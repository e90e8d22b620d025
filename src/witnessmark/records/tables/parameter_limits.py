"""The canonical table `parameter_limits`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="parameter_limits",
    group="Running",
    about=(
        "What a set-up sheet allows for one parameter of a part on a machine. Plants keep "
        "it in set-up sheets or process instructions. Actual values are compared with the "
        "revision that was valid then."
    ),
    columns=(
        Column("part_no", "text", "The part.", key=True),
        Column("machine_id", "text", "The machine.", key=True),
        Column("parameter", "text", "The plant's own name of the parameter.", key=True),
        Column("rev", "text", "Revision of the sheet.", key=True),
        Column("nominal", "decimal", "The set value. Empty: none is printed.", optional=True),
        Column(
            "low",
            "decimal",
            "The lowest value allowed. Empty: no lower limit is printed.",
            optional=True,
        ),
        Column(
            "high",
            "decimal",
            "The highest value allowed. Empty: no upper limit is printed.",
            optional=True,
        ),
        Column("unit", "text", "Unit of nominal, low and high."),
        Column("valid_from", "date", "First day that the revision was valid."),
        Column(
            "valid_to",
            "date",
            "Last day that the revision was valid, that day included. Empty: until the next "
            "revision.",
            optional=True,
        ),
    ),
    ranges=(("valid_from", "valid_to"), ("low", "high")),
)

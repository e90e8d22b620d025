"""The canonical table `machines`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="machines",
    group="Plant",
    about=(
        "One machine, as of the register that was handed over. Plants keep it in the asset "
        "or resource list. It ties machines to areas, groups and processes, and says which "
        "stop themselves."
    ),
    columns=(
        Column(
            "machine_id",
            "text",
            "The plant's own id of the machine, the same one in every table.",
            key=True,
        ),
        Column("area", "text", "The area whose shifts, rules and board the machine belongs to."),
        Column(
            "group_id",
            "text",
            "The cell or group that people are allocated to as one. Empty: it belongs to none.",
            optional=True,
        ),
        Column("process", "text", "The process that people are qualified for, such as turning."),
        Column(
            "stations",
            "int",
            "How many stations, spindles or cavities make pieces side by side. Empty: not "
            "known; nothing is asked per station.",
            optional=True,
        ),
        Column(
            "auto_stop",
            "bool",
            "Whether the machine stops itself when something goes wrong. Empty: not known.",
            optional=True,
        ),
        Column(
            "x_m",
            "decimal",
            "Place on the floor plan, first direction. Empty: not known.",
            unit="m",
            optional=True,
        ),
        Column(
            "y_m",
            "decimal",
            "Place on the floor plan, second direction. Empty: not known.",
            unit="m",
            optional=True,
        ),
    ),
)

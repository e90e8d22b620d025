"""The canonical table `tending_times`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="tending_times",
    group="Plant",
    about=(
        "How long one machine or group keeps a person busy. Plants keep it in time studies, "
        "or not at all. It is used to judge how many machines a person can look after."
    ),
    columns=(
        Column(
            "machine_or_group", "text", "The machine or group that the times hold for.", key=True
        ),
        Column(
            "service_min",
            "decimal",
            "Mean time to answer one stop. Empty: not studied.",
            unit="min",
            optional=True,
        ),
        Column(
            "patrol_min",
            "decimal",
            "Time for one patrol check. Empty: not studied.",
            unit="min",
            optional=True,
        ),
        Column(
            "bin_min",
            "decimal",
            "Time to change one full container. Empty: not studied.",
            unit="min",
            optional=True,
        ),
        Column(
            "walking_min",
            "decimal",
            "Walking time to reach the machine. Empty: not studied.",
            unit="min",
            optional=True,
        ),
    ),
)

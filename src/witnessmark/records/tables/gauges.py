"""The canonical table `gauges`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="gauges",
    group="Checks and measurements",
    about=(
        "One gauge of the register. Plants keep it in the gauge list. It is used to ask "
        "whether a gauge was known and fine enough."
    ),
    columns=(
        Column("gauge_id", "text", "The id marked on the gauge.", key=True),
        Column("type", "text", "Type of gauge, as control plans prescribe it."),
        Column(
            "resolution",
            "decimal",
            "Smallest step that it shows, in its unit. Empty: not recorded.",
            optional=True,
        ),
        Column("unit", "text", "Unit of the resolution. Empty: not recorded.", optional=True),
        Column(
            "interval_d",
            "int",
            "Days between calibrations. Empty: not on a fixed interval, or not recorded.",
            unit="d",
            optional=True,
        ),
    ),
)

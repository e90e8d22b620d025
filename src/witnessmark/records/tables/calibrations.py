"""The canonical table `calibrations`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="calibrations",
    group="Checks and measurements",
    about=(
        "One calibration of a gauge. Plants keep it in certificates or the gauge list, "
        "which often shows the latest one only. It says in which time a gauge was in date."
    ),
    columns=(
        Column("gauge_id", "text", "The gauge.", key=True),
        Column("done_on", "date", "Day of the calibration.", key=True),
        Column(
            "as_found",
            "decimal",
            "Error before any adjustment. Empty: not recorded.",
            optional=True,
        ),
        Column("as_left", "decimal", "Error after adjustment. Empty: not recorded.", optional=True),
        Column(
            "error_limit", "decimal", "Largest error allowed. Empty: not recorded.", optional=True
        ),
        Column(
            "verdict",
            "text",
            "Whether the gauge was found `in` or `out` of its limit, before adjustment.",
            words=("in", "out"),
        ),
        Column(
            "next_due",
            "date",
            "Last day that the gauge is in date, that day included. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "impact_ref",
            "text",
            "Record of what was done about product measured before. Empty: none is recorded.",
            optional=True,
        ),
    ),
)

"""The canonical table `overtime_entries`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="overtime_entries",
    group="Schedule and delivery",
    about=(
        "Overtime hours of an area or a person on one day. Plants keep it in time accounts. "
        "It is used to see whether overtime has become part of the normal plan."
    ),
    columns=(
        Column("area_or_person", "text", "The area, or the key of the person or place.", key=True),
        Column("worked_on", "date", "The day.", key=True),
        Column("hours", "decimal", "Overtime hours worked.", unit="h"),
        Column(
            "reason", "text", "Reason in the plant's own words. Empty: not recorded.", optional=True
        ),
        Column(
            "direct",
            "bool",
            "Whether the hours went into making product. Empty: not told apart.",
            optional=True,
        ),
    ),
)

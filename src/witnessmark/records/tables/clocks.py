"""The canonical table `clocks`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="clocks",
    group="Where the data came from",
    about=(
        "How far one system's clock stood from true time, from an instant on. Plants seldom "
        "keep it: the auditor measures it from an event that two systems both saw. It is "
        "used to put all records on one time."
    ),
    columns=(
        Column("clock_id", "text", "Name of the clock, as extracts name it.", key=True),
        Column("valid_from", "instant", "From when this offset holds.", key=True),
        Column(
            "offset_s",
            "int",
            "What the clock showed minus true time; a clock that is fast has a positive offset.",
            unit="s",
        ),
        Column(
            "drift_s_per_day",
            "decimal",
            "How much the offset grows in a day. Empty: taken as steady.",
            unit="s/day",
            optional=True,
        ),
        Column(
            "method",
            "text",
            "How the offset was found, such as the shared events that were compared.",
        ),
        Column(
            "n_pairs",
            "int",
            "How many pairs of the same event the offset rests on. Empty: not stated.",
            optional=True,
        ),
    ),
)

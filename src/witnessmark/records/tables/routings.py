"""The canonical table `routings`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="routings",
    group="Plant",
    about=(
        "One operation of a part on one group of machines, with its planned times. Plants "
        "keep it in the work plan. It is used to ask whether a reported output was "
        "possible."
    ),
    columns=(
        Column("part_no", "text", "The part that is made.", key=True),
        Column("op", "text", "The operation, as the work plan numbers it.", key=True),
        Column("group_id", "text", "The group of machines that the times hold for.", key=True),
        Column(
            "ideal_cycle_s",
            "decimal",
            "Planned time for one piece, already divided by the pieces that come at once.",
            unit="s/piece",
        ),
        Column(
            "pieces_per_cycle",
            "int",
            "Pieces that one cycle makes. Empty: not stated.",
            unit="pieces/cycle",
            optional=True,
        ),
        Column(
            "setup_standard_min",
            "decimal",
            "Planned duration of a set-up. Empty: not planned.",
            unit="min",
            optional=True,
        ),
    ),
)

"""The canonical table `piece_counts`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="piece_counts",
    group="Running",
    about=(
        "One reading of a machine's piece counter. Machine loggers keep it. Together with "
        "the states it says how many pieces were made, and that a machine that seemed to "
        "run did make some."
    ),
    columns=(
        Column("machine_id", "text", "The machine whose counter was read.", key=True),
        Column("counted_at", "instant", "When the counter was read.", key=True),
        Column("cumulative", "int", "What the counter showed.", unit="pieces"),
        Column(
            "reset",
            "bool",
            "Whether the counter was set back before this reading. Empty: not marked; a smaller "
            "value is then taken as a reset.",
            optional=True,
        ),
    ),
)

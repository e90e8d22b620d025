"""The canonical table `stoppages`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="stoppages",
    group="Running",
    about=(
        "One stop of a machine. Machine loggers keep the times; operators add reason and "
        "acknowledgement. It is used to ask who answered a stop and what was checked before "
        "going on."
    ),
    columns=(
        Column("stop_id", "text", "The plant's or the mapping's id of the stop.", key=True),
        Column("machine_id", "text", "The machine that stopped."),
        Column("start_at", "instant", "When the machine stopped."),
        Column(
            "end_at",
            "instant",
            "When it ran again. Empty: still stopped when the data end.",
            optional=True,
        ),
        Column(
            "reason",
            "text",
            "Reason of the stop. `crash`, `tool`, `jam`, `power` and `adjustment` can affect "
            "the product; other words are the plant's own. Empty: no reason was coded.",
            optional=True,
        ),
        Column(
            "planned",
            "bool",
            "Whether the stop was planned. Empty: not marked; it counts as not planned.",
            optional=True,
        ),
        Column(
            "acknowledged_at",
            "instant",
            "When somebody acknowledged the stop at the machine. Empty: nobody did, or it is "
            "not recorded.",
            optional=True,
        ),
    ),
    ranges=(("start_at", "end_at"),),
)

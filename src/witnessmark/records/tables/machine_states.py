"""The canonical table `machine_states`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="machine_states",
    group="Running",
    about=(
        "One stretch in which a machine was in one state. Machine loggers keep it; "
        "operators add reasons. It says when a machine ran; time that no row covers is "
        "unknown, never running."
    ),
    columns=(
        Column("machine_id", "text", "The machine.", key=True),
        Column("start_at", "instant", "When the state began.", key=True),
        Column(
            "end_at",
            "instant",
            "When the state ended. Empty: it lasted until the machine's next row.",
            optional=True,
        ),
        Column(
            "state",
            "text",
            "`running`, `stopped`, `setup`, `maintenance`, `unplanned` (no production planned) "
            "or `unknown`.",
            words=("running", "stopped", "setup", "maintenance", "unplanned", "unknown"),
        ),
        Column(
            "reason",
            "text",
            "Reason of the state in the plant's own words. Empty: no reason was coded.",
            optional=True,
        ),
        Column(
            "reason_entered_at",
            "instant",
            "When the reason was typed. Empty: not recorded.",
            optional=True,
        ),
    ),
    ranges=(("start_at", "end_at"),),
)

"""The canonical table `handover_items`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="handover_items",
    group="Handover, maintenance, temporary change",
    about=(
        "One matter that was handed over. Plants keep it as lines of the shift book. It is "
        "compared with the matters that were open at the change."
    ),
    columns=(
        Column("area", "text", "The area.", key=True),
        Column("change_at", "instant", "The change of shift.", key=True),
        Column("no", "int", "Number of the item.", key=True),
        Column(
            "kind",
            "text",
            "`stop`, `check-overdue`, `hold` (product on hold), `setup-unreleased`, "
            "`unattended` (runs with nobody at it), `temporary-change`, `challenge-failed` (a "
            "known-bad part was not found), `material-low` or `staffing` (a place is vacant).",
            words=(
                "stop",
                "check-overdue",
                "hold",
                "setup-unreleased",
                "unattended",
                "temporary-change",
                "challenge-failed",
                "material-low",
                "staffing",
            ),
        ),
        Column(
            "machine_id", "text", "The machine it is about. Empty: none is named.", optional=True
        ),
        Column("text", "text", "What was written. Empty: nothing more.", optional=True),
        Column(
            "acknowledged",
            "bool",
            "Whether the incoming side confirmed it. Empty: not recorded.",
            optional=True,
        ),
    ),
)

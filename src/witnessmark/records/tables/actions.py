"""The canonical table `actions`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="actions",
    group="Daily board, concerns, actions",
    about=(
        "One action against a concern. Plants keep it in the action list. It is used to ask "
        "whether actions were done, verified and had an effect."
    ),
    columns=(
        Column("action_id", "text", "Id of the action.", key=True),
        Column("concern_id", "text", "The concern it answers."),
        Column(
            "kind",
            "text",
            "`containment` (protects now), `corrective` (removes the cause here) or `systemic` "
            "(removes it wherever it may occur).",
            words=("containment", "corrective", "systemic"),
        ),
        Column("text", "text", "What is to be done."),
        Column("owner_role", "text", "Role that owns it. Empty: nobody is named.", optional=True),
        Column("opened_at", "instant", "When it was opened. Empty: not recorded.", optional=True),
        Column(
            "due_on",
            "date",
            "Day it is due. Empty: no date is given, or it could not be read as one.",
            optional=True,
        ),
        Column(
            "implemented_at",
            "instant",
            "When it was put in place. Empty: not yet, or not recorded.",
            optional=True,
        ),
        Column("closed_at", "instant", "When it was closed. Empty: still open.", optional=True),
        Column(
            "verified_at",
            "instant",
            "When its effect was verified. Empty: not verified, or not recorded.",
            optional=True,
        ),
        Column(
            "verify_method",
            "text",
            "How the effect was verified. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "verify_evidence",
            "text",
            "What shows the effect. Empty: none is recorded.",
            optional=True,
        ),
    ),
    ranges=(("opened_at", "closed_at"),),
)

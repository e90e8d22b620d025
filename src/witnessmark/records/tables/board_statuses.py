"""The canonical table `board_statuses`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="board_statuses",
    group="Daily board, concerns, actions",
    about=(
        "One colour that a board declared for a letter and a day. Plants keep it on the "
        "board, in a workbook, or typed in later. It is compared with the colour that the "
        "plant's own rule gives."
    ),
    columns=(
        Column("area", "text", "The area whose board it is.", key=True),
        Column("letter", "text", "The plant's own heading on the board.", key=True),
        Column("production_date", "date", "The day that the colour speaks about.", key=True),
        Column(
            "shift",
            "text",
            "The shift that the colour speaks about. Empty: the whole day.",
            key=True,
            optional=True,
        ),
        Column(
            "version",
            "int",
            "Number of the version where a colour was changed; a later one is larger. Empty: "
            "one version only is kept.",
            key=True,
            optional=True,
        ),
        Column(
            "colour",
            "text",
            "`green`, `amber`, `red`, or `none` (the field was left blank).",
            words=("green", "amber", "red", "none"),
        ),
        Column(
            "target",
            "decimal",
            "The target written on the board. Empty: not written.",
            optional=True,
        ),
        Column(
            "actual",
            "decimal",
            "The value written on the board. Empty: not written.",
            optional=True,
        ),
        Column(
            "reason",
            "text",
            "The reason written for the colour. Empty: not written.",
            optional=True,
        ),
        Column(
            "declared_at", "instant", "When the colour was set. Empty: not recorded.", optional=True
        ),
        Column("by_role", "text", "Role that set it. Empty: not recorded.", optional=True),
        Column(
            "action_ref",
            "text",
            "The action that the colour led to. Empty: none is named.",
            optional=True,
        ),
        Column(
            "no_action_reason",
            "text",
            "Why no action was opened. Empty: nothing is written.",
            optional=True,
        ),
    ),
)

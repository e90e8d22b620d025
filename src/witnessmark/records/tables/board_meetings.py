"""The canonical table `board_meetings`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="board_meetings",
    group="Daily board, concerns, actions",
    about=(
        "One meeting at a daily board. Plants keep it as an attendance sheet, if at all. It "
        "is used to ask whether the board was looked at on every shift and day."
    ),
    columns=(
        Column("area", "text", "The area whose board it is.", key=True),
        Column("held_at", "instant", "When it was held.", key=True),
        Column("led_by_role", "text", "Role that led it. Empty: not recorded.", optional=True),
        Column("deputy", "bool", "Whether a deputy led it. Empty: not recorded.", optional=True),
        Column(
            "letters_reviewed",
            "list",
            "The letters that were gone through. Empty: not recorded.",
            optional=True,
        ),
    ),
)

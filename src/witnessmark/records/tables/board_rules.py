"""The canonical table `board_rules`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="board_rules",
    group="Daily board, concerns, actions",
    about=(
        "The plant's own rule for colouring one letter of a daily board. Plants keep it in "
        "a procedure or printed on the board. A colour is recomputed by the rule that was "
        "valid on the day."
    ),
    columns=(
        Column("area", "text", "The area whose board it is.", key=True),
        Column("letter", "text", "The plant's own heading on the board.", key=True),
        Column("valid_from", "date", "First day that the rule holds.", key=True),
        Column(
            "valid_to",
            "date",
            "Last day that it holds, that day included. Empty: until the next rule.",
            optional=True,
        ),
        Column("measure", "text", "The measure that is compared, by its name in `board_measures`."),
        Column(
            "comparator",
            "text",
            "Green if the measure is at least (`>=`), at most (`<=`) or exactly (`==`) the "
            "threshold.",
            words=(">=", "<=", "=="),
        ),
        Column("threshold", "decimal", "The threshold for green. A share is written from 0 to 1."),
        Column(
            "amber_threshold",
            "decimal",
            "The threshold for amber, short of green. Empty: the rule knows no amber.",
            optional=True,
        ),
        Column("unit", "text", "Unit of the thresholds. Empty: a share or a count.", optional=True),
        Column(
            "set_by_role",
            "text",
            "Role that set the threshold. Empty: not recorded.",
            optional=True,
        ),
        Column("doc_ref", "text", "The document it stands in. Empty: not recorded.", optional=True),
    ),
    ranges=(("valid_from", "valid_to"),),
)

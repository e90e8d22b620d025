"""The canonical table `action_changes`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="action_changes",
    group="Daily board, concerns, actions",
    about=(
        "One change of a field of an action. Systems with a history keep it; lists in "
        "workbooks lose it. It is used to see due dates that moved."
    ),
    columns=(
        Column("action_id", "text", "The action.", key=True),
        Column("changed_at", "instant", "When it was changed.", key=True),
        Column("field", "text", "The field that was changed, by its name in `actions`."),
        Column("old", "text", "What stood there before. Empty: nothing did.", optional=True),
        Column("new", "text", "What stands there since. Empty: nothing does.", optional=True),
    ),
)

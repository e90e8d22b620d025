"""The canonical table `maintenance_tasks`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="maintenance_tasks",
    group="Handover, maintenance, temporary change",
    about=(
        "One maintenance task that fell due. Plants keep it in the maintenance plan. It is "
        "used to ask whether machines ran on past it."
    ),
    columns=(
        Column("task_id", "text", "Id of the task.", key=True),
        Column("machine_id", "text", "The machine."),
        Column(
            "due_basis",
            "text",
            "What makes it due: a `date`, running `hours` or `strokes`.",
            words=("date", "hours", "strokes"),
        ),
        Column(
            "due_on",
            "date",
            "Day it is due, for basis `date`. Empty: another basis.",
            optional=True,
        ),
        Column(
            "due_value",
            "decimal",
            "Hours or strokes at which it is due. Empty: due by date.",
            optional=True,
        ),
        Column(
            "done_at",
            "instant",
            "When it was done. Empty: not done, or not recorded.",
            optional=True,
        ),
        Column(
            "deferred_by",
            "text",
            "Key or role of who allowed it to be put off. Empty: not put off by anybody recorded.",
            optional=True,
        ),
    ),
)

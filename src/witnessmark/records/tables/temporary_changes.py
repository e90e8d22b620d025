"""The canonical table `temporary_changes`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="temporary_changes",
    group="Handover, maintenance, temporary change",
    about=(
        "One time in which a control was replaced by another one. Plants keep it in "
        "deviation or bypass lists. It is used to ask whether the change was approved, "
        "reviewed and ended."
    ),
    columns=(
        Column("change_id", "text", "Id of the change.", key=True),
        Column("machine_id", "text", "The machine."),
        Column("control_replaced", "text", "The control that was replaced or switched off."),
        Column("alternative", "text", "What was done instead."),
        Column("from_at", "instant", "From when."),
        Column(
            "to_at",
            "instant",
            "Until when. Empty: still in force, or no end is stated.",
            optional=True,
        ),
        Column(
            "approved_by",
            "text",
            "Key or role of who approved it. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "daily_reviews",
            "list",
            "Days on which it was reviewed, each written as 2026-03-29. Empty: no review is "
            "recorded.",
            optional=True,
        ),
        Column(
            "restart_check",
            "text",
            "The check made when the first control came back. Empty: none is recorded.",
            optional=True,
        ),
    ),
    ranges=(("from_at", "to_at"),),
)

"""The canonical table `process_events`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="process_events",
    group="Running",
    about=(
        "One event at a machine that can change the product. Plants keep it in tool, "
        "maintenance or offset logs. It is used to ask whether a check followed."
    ),
    columns=(
        Column("event_id", "text", "The plant's or the mapping's id of the event.", key=True),
        Column("machine_id", "text", "The machine that it happened at."),
        Column("happened_at", "instant", "When it happened."),
        Column(
            "kind",
            "text",
            "`tool-change`, `repair`, `offset` (a correction value was altered), `bypass` (a "
            "control was switched off or passed by) or `material-change`.",
            words=("tool-change", "repair", "offset", "bypass", "material-change"),
        ),
        Column(
            "reference",
            "text",
            "What the event refers to, such as a tool, an order or a lot. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "done_by",
            "text",
            "Key of the person or place that did it. Empty: not recorded.",
            optional=True,
        ),
    ),
)

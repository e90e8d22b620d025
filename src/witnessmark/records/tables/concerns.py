"""The canonical table `concerns`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="concerns",
    group="Daily board, concerns, actions",
    about=(
        "One problem that somebody raised. Plants keep it in the concern or problem list of "
        "an area. It is used to ask whether a red day or an out-of-limit value led to "
        "anything."
    ),
    columns=(
        Column("concern_id", "text", "Id of the concern.", key=True),
        Column("area", "text", "The area it was raised in."),
        Column(
            "machine_id", "text", "The machine it is about. Empty: none is named.", optional=True
        ),
        Column("part_no", "text", "The part it is about. Empty: none is named.", optional=True),
        Column("raised_at", "instant", "When it was raised."),
        Column(
            "kind",
            "text",
            "The plant's own kind, such as safety or quality. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "letter",
            "text",
            "The letter of the board it belongs to. Empty: none is named.",
            optional=True,
        ),
        Column(
            "production_date",
            "date",
            "The production day it belongs to. Empty: not recorded.",
            optional=True,
        ),
        Column("text", "text", "What was written."),
        Column(
            "cause", "text", "The cause that was found. Empty: none is recorded.", optional=True
        ),
    ),
)

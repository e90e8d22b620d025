"""The canonical table `tool_lives`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="tool_lives",
    group="Handover, maintenance, temporary change",
    about=(
        "One stay of a tool in a machine, with its limit. Plants keep it in the tool room "
        "or the machine's control. It is used to ask whether a tool ran past its limit."
    ),
    columns=(
        Column("tool_id", "text", "Id of the tool.", key=True),
        Column("mounted_at", "instant", "When it was mounted.", key=True),
        Column("machine_id", "text", "The machine."),
        Column(
            "limit_strokes",
            "int",
            "Strokes or pieces after which it must be changed.",
            unit="strokes",
        ),
        Column(
            "removed_at",
            "instant",
            "When it was taken out. Empty: still mounted when the data end.",
            optional=True,
        ),
        Column(
            "strokes",
            "int",
            "Strokes or pieces it made. Empty: not counted.",
            unit="strokes",
            optional=True,
        ),
    ),
    ranges=(("mounted_at", "removed_at"),),
)

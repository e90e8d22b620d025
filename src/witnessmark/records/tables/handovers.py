"""The canonical table `handovers`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="handovers",
    group="Handover, maintenance, temporary change",
    about=(
        "One handover of an area at a change of shift. Plants keep it in a shift book. It "
        "is used to ask whether both sides took part and what was passed on."
    ),
    columns=(
        Column("area", "text", "The area.", key=True),
        Column("change_at", "instant", "The change of shift.", key=True),
        Column(
            "outgoing",
            "text",
            "Key of the person or place that handed over. Empty: nobody is recorded.",
            optional=True,
        ),
        Column(
            "incoming",
            "text",
            "Key of the person or place that took over. Empty: nobody is recorded.",
            optional=True,
        ),
        Column(
            "started_at",
            "instant",
            "When the handover began. Empty: not recorded; the change of shift serves instead.",
            optional=True,
        ),
        Column(
            "ended_at", "instant", "When the handover ended. Empty: not recorded.", optional=True
        ),
        Column("text", "text", "What was written. Empty: nothing was written.", optional=True),
    ),
    ranges=(("started_at", "ended_at"),),
)

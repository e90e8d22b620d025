"""The canonical table `attendances`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="attendances",
    group="People",
    about=(
        "One stay of a person in the plant, from coming to going. Plants keep it in the "
        "time clock. It is used to ask whether somebody who was allocated was present."
    ),
    columns=(
        Column("person_key", "text", "Key of the person or place.", key=True),
        Column("in_at", "instant", "When the person came in.", key=True),
        Column(
            "out_at",
            "instant",
            "When the person left. Empty: not clocked out, or still present when the data end.",
            optional=True,
        ),
        Column(
            "kind",
            "text",
            "`regular` or `overtime`. Empty: not told apart.",
            optional=True,
            words=("regular", "overtime"),
        ),
    ),
    ranges=(("in_at", "out_at"),),
)

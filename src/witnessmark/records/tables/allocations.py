"""The canonical table `allocations`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="allocations",
    group="People",
    about=(
        "One person or place put to a machine or group for a stretch of time. Plants keep "
        "it on the staffing board, which is a plan, and sometimes in a log of what was "
        "done. It decides who looked after a machine."
    ),
    columns=(
        Column("person_key", "text", "Key of the person or place.", key=True),
        Column(
            "machine_or_group",
            "text",
            "The machine, or the group of machines, that was given to the person.",
            key=True,
        ),
        Column("start_at", "instant", "From when.", key=True),
        Column("end_at", "instant", "Until when. Empty: until the shift ends.", optional=True),
        Column(
            "role",
            "text",
            "`operator` (owns the machine), `watcher` (keeps an eye on it beside other work), "
            "`setter`, `leader`, `relief` (stands in during breaks) or `trainee`.",
            words=("operator", "watcher", "setter", "leader", "relief", "trainee"),
        ),
        Column(
            "trainer",
            "text",
            "Key of the trainer who stands beside a trainee. Empty: none is named.",
            optional=True,
        ),
        Column(
            "basis",
            "text",
            "`planned` (what the board said) or `actual` (what was recorded as done). Actual "
            "rows win over planned ones.",
            words=("planned", "actual"),
        ),
        Column(
            "recorded_at",
            "instant",
            "When the row was written. Empty: not recorded.",
            optional=True,
        ),
    ),
    ranges=(("start_at", "end_at"),),
)

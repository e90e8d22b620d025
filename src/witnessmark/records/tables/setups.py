"""The canonical table `setups`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="setups",
    group="Set-up and release",
    about=(
        "One set-up of a machine, and its release. Plants keep it in set-up sheets or order "
        "feedback. It is used to ask whether production began only after a proven start."
    ),
    columns=(
        Column("setup_id", "text", "The plant's or the mapping's id of the set-up.", key=True),
        Column("machine_id", "text", "The machine."),
        Column(
            "from_part",
            "text",
            "The part that was made before. Empty: not recorded.",
            optional=True,
        ),
        Column("to_part", "text", "The part that was set up."),
        Column(
            "kind",
            "text",
            "What changed: `part`, `tool` or `material`. Empty: not recorded.",
            optional=True,
            words=("part", "tool", "material"),
        ),
        Column("start_at", "instant", "When the set-up began."),
        Column(
            "end_at", "instant", "When the set-up was finished. Empty: not recorded.", optional=True
        ),
        Column(
            "setter",
            "text",
            "Key of the person or place that set up. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "released_at",
            "instant",
            "When production was released. Empty: no release is recorded.",
            optional=True,
        ),
        Column(
            "released_by",
            "text",
            "Key of the person or place that released. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "plan_rev",
            "text",
            "Revision of the control plan that the release was based on. Empty: not recorded.",
            optional=True,
        ),
    ),
    ranges=(("start_at", "end_at"),),
)

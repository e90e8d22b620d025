"""The canonical table `runs`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="runs",
    group="Running",
    about=(
        "One stretch in which a machine made one part, usually for one order. Plants keep "
        "it in order feedback or in the machine log. It is the frame in which checks, "
        "set-ups and lots are placed."
    ),
    columns=(
        Column("run_id", "text", "The plant's or the mapping's id of the run.", key=True),
        Column("machine_id", "text", "The machine that ran."),
        Column("part_no", "text", "The part that was made."),
        Column("op", "text", "The operation that was worked. Empty: not recorded.", optional=True),
        Column("order_no", "text", "The production order. Empty: not recorded.", optional=True),
        Column(
            "tool_id",
            "text",
            "The tool that was mounted. Empty: not recorded; a change of tool cannot be seen then.",
            optional=True,
        ),
        Column("start_at", "instant", "When the run began."),
        Column(
            "end_at",
            "instant",
            "When the run ended. Empty: not recorded; it lasted until the machine's next run, or "
            "is still open when the data end.",
            optional=True,
        ),
        Column(
            "end_kind",
            "text",
            "Why it ended: `order-done`, `material-out`, `tool` (broken or worn), `auto-stop` "
            "(the machine stopped itself), `shift`, or `other`. Empty: not recorded.",
            optional=True,
            words=("order-done", "material-out", "tool", "auto-stop", "shift", "other"),
        ),
        Column(
            "good",
            "int",
            "Good pieces reported for the run. Empty: not reported, which is not zero.",
            unit="pieces",
            optional=True,
        ),
        Column(
            "scrap",
            "int",
            "Scrapped pieces reported for the run. Empty: not reported, which is not zero.",
            unit="pieces",
            optional=True,
        ),
    ),
    ranges=(("start_at", "end_at"),),
)

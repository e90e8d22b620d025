"""The canonical table `checks`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="checks",
    group="Checks and measurements",
    about=(
        "One check: somebody looked at pieces of one machine at one time. Plants keep it in "
        "check sheets or a measuring system. It is the heart of most record tests."
    ),
    columns=(
        Column("check_id", "text", "The plant's or the mapping's id of the check.", key=True),
        Column("machine_id", "text", "The machine that made the pieces."),
        Column("part_no", "text", "The part that was checked."),
        Column(
            "run_id",
            "text",
            "The run it belongs to, where the record says so. Empty: it is placed by machine "
            "and time.",
            optional=True,
        ),
        Column(
            "setup_id",
            "text",
            "The set-up it belongs to, where the record says so. Empty: it is placed by machine "
            "and time.",
            optional=True,
        ),
        Column(
            "kind",
            "text",
            "`first-off` (first pieces after a set-up), `patrol` (during the run), `last-off` "
            "(last pieces of the run), `restart`, `material-change`, `challenge` (a known-bad "
            "part must be found) or `audit`.",
            words=(
                "first-off",
                "patrol",
                "last-off",
                "restart",
                "material-change",
                "challenge",
                "audit",
            ),
        ),
        Column("op", "text", "The operation. Empty: not recorded.", optional=True),
        Column(
            "plan_no",
            "text",
            "The control plan that was worked to. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "taken_at",
            "instant",
            "When the pieces were taken from the machine. Empty: the time of the check serves "
            "instead.",
            optional=True,
        ),
        Column(
            "done_at",
            "instant",
            "When the check was made. Empty: not recorded; tests that need this time are not "
            "assessable for the row.",
            optional=True,
        ),
        Column(
            "entered_at",
            "instant",
            "When the result was typed. Empty: not recorded; lateness is not assessable.",
            optional=True,
        ),
        Column(
            "done_by",
            "text",
            "Key of the person or place that checked. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "result",
            "text",
            "`pass`, `fail` or `incomplete` (begun and not finished).",
            words=("pass", "fail", "incomplete"),
        ),
        Column(
            "sheet_rev",
            "text",
            "Revision of the check sheet that was used. Empty: not recorded.",
            optional=True,
        ),
    ),
)

"""The canonical table `unattended_permissions`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="unattended_permissions",
    group="People",
    about=(
        "One written permission to run a machine without an operator, with its conditions. "
        "Plants keep it in work instructions, control plans or risk analyses. Only "
        "conditions written on the row bind."
    ),
    columns=(
        Column("permission_id", "text", "Id of the permission.", key=True),
        Column("machine_id", "text", "The machine that may run unattended."),
        Column("part_no", "text", "The part it is limited to. Empty: any part.", optional=True),
        Column(
            "shifts",
            "list",
            "The shifts it is limited to, by the plant's names. Empty: any shift.",
            optional=True,
        ),
        Column("valid_from", "date", "First day that it holds."),
        Column(
            "valid_to",
            "date",
            "Last day that it holds, that day included. Empty: no end is stated.",
            optional=True,
        ),
        Column(
            "max_duration_min",
            "decimal",
            "The longest time the machine may run unattended in one stretch. Empty: no limit is "
            "written.",
            unit="min",
            optional=True,
        ),
        Column(
            "conditions",
            "list",
            "What must hold: `auto-stop` (the machine stops itself, and this was challenged), "
            "`segregated-output` (pieces stay apart until the next check), "
            "`no-special-characteristics` (not for parts with one) or `named-watcher` (somebody "
            "is named to watch). Another word is kept, and whether its permission held is then not "
            "assessable. Empty: no condition is written.",
            optional=True,
        ),
        Column(
            "approved_by_role", "text", "Role that approved it. Empty: not recorded.", optional=True
        ),
        Column("doc_ref", "text", "The document it stands in. Empty: not recorded.", optional=True),
    ),
    ranges=(("valid_from", "valid_to"),),
)

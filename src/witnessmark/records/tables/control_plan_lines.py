"""The canonical table `control_plan_lines`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="control_plan_lines",
    group="Checks and measurements",
    about=(
        "One characteristic of a control plan: what is checked, how often, by whom, within "
        "which limits. Plants keep it in the control plan document. Checks are compared "
        "with the revision that was valid then."
    ),
    columns=(
        Column("plan_no", "text", "Number of the control plan.", key=True),
        Column("rev", "text", "Its revision.", key=True),
        Column("line", "text", "Line of the plan; measurements name it.", key=True),
        Column("part_no", "text", "The part."),
        Column("op", "text", "The operation. Empty: the whole part.", optional=True),
        Column("characteristic", "text", "What is checked, such as a diameter."),
        Column(
            "special_class",
            "text",
            "The plant's own mark for special characteristics. Empty: not special.",
            optional=True,
        ),
        Column(
            "lower_limit",
            "decimal",
            "The smallest good value. Empty: no lower limit.",
            optional=True,
        ),
        Column(
            "upper_limit",
            "decimal",
            "The largest good value. Empty: no upper limit.",
            optional=True,
        ),
        Column(
            "unit", "text", "Unit of the limits. Empty: an attribute, or not stated.", optional=True
        ),
        Column("method", "text", "How it is checked. Empty: not stated.", optional=True),
        Column(
            "gauge_type",
            "text",
            "The type of gauge that must be used, as `gauges` names it. Empty: not prescribed.",
            optional=True,
        ),
        Column("sample_n", "int", "How many pieces one check takes.", unit="pieces"),
        Column(
            "basis",
            "text",
            "What makes a check due: `running-time`, `clock-time`, `pieces`, `event` or `shift` "
            "(once in each shift).",
            words=("running-time", "clock-time", "pieces", "event", "shift"),
        ),
        Column(
            "interval_min",
            "decimal",
            "Longest time between checks, for the two time bases. Empty: another basis.",
            unit="min",
            optional=True,
        ),
        Column(
            "every_n",
            "int",
            "A check after every so many pieces, for basis `pieces`. Empty: another basis.",
            unit="pieces",
            optional=True,
        ),
        Column(
            "event",
            "text",
            "The event that makes a check due, for basis `event`: `tool-change`, `repair`, "
            "`offset`, `bypass` or `material-change`, as `process_events` has them. Empty: "
            "another basis.",
            optional=True,
            words=("tool-change", "repair", "offset", "bypass", "material-change"),
        ),
        Column(
            "check_kinds",
            "list",
            "The kinds of check that this line belongs to: `first-off` (first pieces after a "
            "set-up), `patrol` (during the run), `last-off` (last pieces of the run), "
            "`restart`, `material-change` or `challenge` (a known-bad part must be found).",
            words=("first-off", "patrol", "last-off", "restart", "material-change", "challenge"),
        ),
        Column("reaction_ref", "text", "The reaction plan. Empty: none is named.", optional=True),
        Column(
            "responsible_role",
            "text",
            "Role that makes the check on an attended machine. Empty: no role is named.",
            optional=True,
        ),
        Column(
            "responsible_role_unattended",
            "text",
            "Role that makes the check while the machine is not attended. Empty: no role is "
            "named for that state.",
            optional=True,
        ),
        Column(
            "reaction_owner_role",
            "text",
            "Role that must react when a value is out. Empty: no role is named.",
            optional=True,
        ),
        Column("valid_from", "date", "First day that the revision was valid."),
        Column(
            "valid_to",
            "date",
            "Last day that the revision was valid, that day included. Empty: until the next "
            "revision.",
            optional=True,
        ),
    ),
    ranges=(("valid_from", "valid_to"), ("lower_limit", "upper_limit")),
)

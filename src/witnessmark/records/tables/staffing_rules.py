"""The canonical table `staffing_rules`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="staffing_rules",
    group="People",
    about=(
        "The plant's own rule for staffing an area. Plants keep it in a procedure or a "
        "works agreement, or nowhere. It overrides the defaults of this tool."
    ),
    columns=(
        Column("rule_id", "text", "Id of the rule.", key=True),
        Column("area", "text", "The area it holds for."),
        Column(
            "min_operators",
            "int",
            "The fewest operators that must be present. Empty: no number is written.",
            optional=True,
        ),
        Column(
            "max_machines_per_person",
            "int",
            "The most machines one person may own and watch together. Empty: no number is written.",
            optional=True,
        ),
        Column(
            "attended_events",
            "list",
            "What may happen only with somebody at the machine: `set-up`, `tool-change`, "
            "`material-change`, `restart`. Empty: the rule does not say; all four are assumed, "
            "and this is printed.",
            optional=True,
            words=("set-up", "tool-change", "material-change", "restart"),
        ),
        Column(
            "load_limit",
            "decimal",
            "The highest share of a person's time, from 0 to 1, that tending may take. Empty: "
            "no limit is written.",
            unit="share",
            optional=True,
        ),
        Column(
            "watching_allowed",
            "bool",
            "Whether a neighbour may watch machines beside their own. Empty: no rule allows it.",
            optional=True,
        ),
        Column("doc_ref", "text", "The document it stands in. Empty: not recorded.", optional=True),
        Column("valid_from", "date", "First day that it holds."),
        Column(
            "valid_to",
            "date",
            "Last day that it holds, that day included. Empty: no end is stated.",
            optional=True,
        ),
    ),
    ranges=(("valid_from", "valid_to"),),
)

"""The canonical table `chart_rules`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="chart_rules",
    group="Checks and measurements",
    about=(
        "One rule by which a plant reads the control chart of a plan line. Plants keep it "
        "in a procedure or on the chart. Only rules that the plant adopted are tested."
    ),
    columns=(
        Column("part_no", "text", "The part.", key=True),
        Column("line", "text", "The control-plan line.", key=True),
        Column("rule", "text", "The rule, in the plant's words.", key=True),
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

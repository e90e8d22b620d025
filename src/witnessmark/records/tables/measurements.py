"""The canonical table `measurements`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="measurements",
    group="Checks and measurements",
    about=(
        "One value, or one good-or-bad verdict, of one piece within a check. Plants keep it "
        "in check sheets or a measuring system. It shows which plan lines a check covered, "
        "and with which gauge."
    ),
    columns=(
        Column("check_id", "text", "The check it belongs to.", key=True),
        Column("line", "text", "The control-plan line that was measured.", key=True),
        Column("piece_no", "int", "Number of the piece within the check, from 1.", key=True),
        Column(
            "station",
            "text",
            "The station, spindle or cavity that made the piece. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "value",
            "decimal",
            "The measured value. Empty: an attribute, or not measured.",
            optional=True,
        ),
        Column(
            "attribute",
            "text",
            "`good` or `bad`, where no value is measured. Empty: a value is given, or nothing "
            "was judged.",
            optional=True,
            words=("good", "bad"),
        ),
        Column(
            "unit", "text", "Unit of the value. Empty: the unit of the plan line.", optional=True
        ),
        Column("gauge_id", "text", "The gauge that was used. Empty: not recorded.", optional=True),
        Column(
            "lower_used",
            "decimal",
            "Lower limit printed on the sheet that was used. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "upper_used",
            "decimal",
            "Upper limit printed on the sheet that was used. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "replaced_value",
            "decimal",
            "What stood here before the value was changed. Empty: no change is recorded.",
            optional=True,
        ),
    ),
)

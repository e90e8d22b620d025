"""The canonical table `authorities`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="authorities",
    group="People",
    about=(
        "One authority that a person held in an area. Plants keep it in delegation lists or "
        "job descriptions. It is used to ask whether each shift had somebody who may stop, "
        "release and decide."
    ),
    columns=(
        Column("person_key", "text", "Key of the person or place.", key=True),
        Column(
            "kind",
            "text",
            "`stop` (may stop production), `release` (may release a set-up), `disposition` (may "
            "decide on product on hold) or `unattended-running` (may allow a machine to run "
            "unattended).",
            key=True,
            words=("stop", "release", "disposition", "unattended-running"),
        ),
        Column("area", "text", "The area in which the authority holds.", key=True),
        Column("valid_from", "date", "First day that it holds.", key=True),
        Column(
            "valid_to",
            "date",
            "Last day that it holds, that day included. Empty: no end is stated.",
            optional=True,
        ),
    ),
    ranges=(("valid_from", "valid_to"),),
)

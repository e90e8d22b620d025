"""The canonical table `qualifications`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="qualifications",
    group="People",
    about=(
        "One level of competence that a person was granted for a process. Plants keep it in "
        "the skill matrix; its history often only in old copies. It is read as of the day "
        "of the work, never as of today."
    ),
    columns=(
        Column("person_key", "text", "Key of the person.", key=True),
        Column("process", "text", "The process, as `machines` names it.", key=True),
        Column("valid_from", "date", "First day that the level holds.", key=True),
        Column(
            "valid_to",
            "date",
            "Last day that the level holds, that day included. Empty: no end is stated.",
            optional=True,
        ),
        Column("level", "int", "The level, from 0 (none) to 4 (can train others)."),
        Column(
            "assessor", "text", "Key or role of who granted it. Empty: not recorded.", optional=True
        ),
        Column(
            "evidence",
            "text",
            "What shows the competence, such as a practical test. Empty: none is recorded.",
            optional=True,
        ),
        Column(
            "entered_at",
            "instant",
            "When it was written into the matrix. Empty: not recorded; granting after the fact "
            "cannot be seen.",
            optional=True,
        ),
    ),
    ranges=(("valid_from", "valid_to"),),
)

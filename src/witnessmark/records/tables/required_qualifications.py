"""The canonical table `required_qualifications`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="required_qualifications",
    group="People",
    about=(
        "The level that a role needs for a process. Plants keep it at the head of the skill "
        "matrix or in a procedure. It is compared with what a person had on the day."
    ),
    columns=(
        Column("process", "text", "The process, as `machines` names it.", key=True),
        Column(
            "role", "text", "The role that needs the level, as `allocations` names it.", key=True
        ),
        Column(
            "valid_from",
            "date",
            "First day that the requirement holds; it holds until the next row.",
            key=True,
        ),
        Column("level", "int", "The lowest level that is enough, from 0 to 4."),
    ),
)

"""The canonical table `parts`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="parts",
    group="Plant",
    about=(
        "One part number. Plants keep it as the part master. It is used for names, weights "
        "and the class of safety-relevant parts."
    ),
    columns=(
        Column("part_no", "text", "The plant's own part number; leading zeros count.", key=True),
        Column("description", "text", "What the part is called. Empty: not given.", optional=True),
        Column(
            "mass_g",
            "decimal",
            "Mass of one finished piece. Empty: material use cannot be compared with pieces.",
            unit="g",
            optional=True,
        ),
        Column(
            "safety_class",
            "text",
            "The plant's own mark for safety-relevant parts. Empty: not marked, which is not a "
            "statement that the part is harmless.",
            optional=True,
        ),
    ),
)

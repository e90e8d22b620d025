"""The canonical table `board_measures`."""

from witnessmark.records.table import Column, Table

QUANTITIES = (
    "good pieces",
    "scrap pieces",
    "rework pieces",
    "first-time-right pieces",
    "made pieces",
    "planned pieces",
    "attained pieces",
    "pieces shipped complete by original date",
    "pieces due",
    "overtime hours",
    "regular hours",
    "safety concerns raised",
    "concerns open",
)
"""The quantities that the tool can compute itself."""

TABLE = Table(
    name="board_measures",
    group="Daily board, concerns, actions",
    about=(
        "How one measure of a board is computed. Plants keep it in a procedure, or in a "
        "head. It names quantities that the tool can compute itself, so that a colour can "
        "be recomputed."
    ),
    columns=(
        Column("measure", "text", "Name of the measure, as `board_rules` uses it.", key=True),
        Column(
            "numerator",
            "text",
            "The quantity above the line: `good pieces`, `scrap pieces`, `rework pieces`, "
            "`first-time-right pieces` (good without rework), `made pieces` (good and scrap), "
            "`planned pieces`, `attained pieces` (the smaller of made and planned, by part and "
            "day), `pieces shipped complete by original date`, `pieces due`, `overtime hours`, "
            "`regular hours`, `safety concerns raised` or `concerns open`.",
            words=QUANTITIES,
        ),
        Column(
            "denominator",
            "text",
            "The quantity below the line, by the same words as the numerator. Empty: the "
            "measure is a plain count or sum.",
            optional=True,
            words=QUANTITIES,
        ),
        Column(
            "cut_off",
            "text",
            "Until when entries count for the day, in the plant's words. Empty: not stated.",
            optional=True,
        ),
        Column("doc_ref", "text", "The document it stands in. Empty: not recorded.", optional=True),
    ),
)

"""The canonical table `holds`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="holds",
    group="Material, lots, product on hold",
    about=(
        "One quantity of product put on hold, and what was decided about it. Plants keep it "
        "in the list of product on hold. It is used to ask whether doubtful product was "
        "stopped in time and disposed of by somebody who may."
    ),
    columns=(
        Column("hold_id", "text", "Id of the hold.", key=True),
        Column(
            "trigger_ref",
            "text",
            "What led to the hold, such as a check. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "lot_no", "text", "The lot on hold. Empty: held by container or machine.", optional=True
        ),
        Column(
            "container",
            "text",
            "The container on hold. Empty: held by lot or machine.",
            optional=True,
        ),
        Column(
            "machine_id",
            "text",
            "The machine whose product is on hold. Empty: held by lot or container.",
            optional=True,
        ),
        Column("qty", "int", "Pieces put on hold.", unit="pieces"),
        Column("placed_at", "instant", "When the hold was placed."),
        Column(
            "disposition",
            "text",
            "What was decided: `scrap`, `rework`, `concession` (used as it is, with the "
            "customer's leave) or `release` (found good). Empty: not decided.",
            optional=True,
            words=("scrap", "rework", "concession", "release"),
        ),
        Column(
            "disposed_at",
            "instant",
            "When it was decided. Empty: not decided, or not recorded.",
            optional=True,
        ),
        Column(
            "disposed_by",
            "text",
            "Key of the person or place that decided. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "qty_disposed",
            "int",
            "Pieces that the decision covers. Empty: not recorded.",
            unit="pieces",
            optional=True,
        ),
    ),
    ranges=(("placed_at", "disposed_at"),),
)

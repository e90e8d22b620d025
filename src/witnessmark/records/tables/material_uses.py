"""The canonical table `material_uses`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="material_uses",
    group="Material, lots, product on hold",
    about=(
        "One material lot in use at a machine for a stretch of time. Plants keep it in "
        "material bookings, which may lie far from the minute of use. It is used to trace "
        "product to material and to find changes of material."
    ),
    columns=(
        Column("machine_id", "text", "The machine that used it.", key=True),
        Column("lot_no", "text", "The material lot.", key=True),
        Column("start_at", "instant", "From when.", key=True),
        Column(
            "end_at",
            "instant",
            "Until when. Empty: until the next lot at that machine, or the end of the data.",
            optional=True,
        ),
        Column("mass_kg", "decimal", "Mass used. Empty: not booked.", unit="kg", optional=True),
        Column(
            "heat_no",
            "text",
            "The melt that the lot comes from. Empty: not recorded.",
            optional=True,
        ),
        Column(
            "booked_how",
            "text",
            "`scan` (at the machine, at the time), `back-flush` (worked out when the order was "
            "reported) or `paper`. Only a scan fixes the minute. Empty: not known.",
            optional=True,
            words=("scan", "back-flush", "paper"),
        ),
    ),
    ranges=(("start_at", "end_at"),),
)

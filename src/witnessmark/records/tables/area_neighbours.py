"""The canonical table `area_neighbours`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="area_neighbours",
    group="Plant",
    about=(
        "Two areas that one person can attend together. It is seldom written down: the "
        "auditor notes it from the floor plan. The relation holds in both directions, and "
        "every area is its own neighbour."
    ),
    columns=(
        Column("area", "text", "One of the two areas.", key=True),
        Column("neighbour", "text", "The other area.", key=True),
    ),
)

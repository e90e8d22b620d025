"""The canonical table `gauge_studies`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="gauge_studies",
    group="Checks and measurements",
    about=(
        "One study of how well a type of gauge measures a characteristic. Plants keep it in "
        "the measuring laboratory. It is used to ask whether a gauge can tell good from "
        "bad."
    ),
    columns=(
        Column("study_id", "text", "Id of the study.", key=True),
        Column("gauge_type", "text", "The type of gauge."),
        Column("characteristic", "text", "The characteristic, as the control plan names it."),
        Column(
            "grr_share",
            "decimal",
            "Spread of repeated measuring as a share of the basis, from 0 to 1 as a rule.",
            unit="share",
        ),
        Column(
            "basis",
            "text",
            "What the share refers to: the `tolerance`, or the total `variation` of the study.",
            words=("tolerance", "variation"),
        ),
        Column(
            "ndc",
            "int",
            "Number of distinct categories that the gauge can tell apart. Empty: not reported.",
            optional=True,
        ),
        Column("done_on", "date", "Day of the study."),
        Column(
            "appraisers",
            "list",
            "Roles or places of those who measured. Empty: not recorded.",
            optional=True,
        ),
    ),
)

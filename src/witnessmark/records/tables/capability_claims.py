"""The canonical table `capability_claims`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="capability_claims",
    group="Checks and measurements",
    about=(
        "One capability index that a document claims. Plants keep it in approval files. It "
        "is compared with what production data support."
    ),
    columns=(
        Column("claim_id", "text", "Id of the claim.", key=True),
        Column("part_no", "text", "The part."),
        Column("machine_id", "text", "The machine. Empty: the claim names none.", optional=True),
        Column("characteristic", "text", "The characteristic, as the control plan names it."),
        Column(
            "index_name",
            "text",
            "`Cp` and `Cpk` (spread within subgroups), `Pp` and `Ppk` (spread over all); the "
            "ones ending in k also count how far the mean is off.",
            words=("Cp", "Cpk", "Pp", "Ppk"),
        ),
        Column("value", "decimal", "The index claimed."),
        Column("required", "decimal", "The index required. Empty: not stated.", optional=True),
        Column("studied_on", "date", "Day of the study."),
        Column("doc_ref", "text", "The document it stands in. Empty: not recorded.", optional=True),
    ),
)

"""The canonical table `extracts`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="extracts",
    group="Where the data came from",
    about=(
        "One file that the plant handed over, how it was pulled, and what became of its "
        "rows. The tool writes it at intake; system, filter and period come from the "
        "plant's note to the extract. Every number in a report leads back to a row of an "
        "extract."
    ),
    columns=(
        Column("extract_id", "text", "The tool's own id of the extract.", key=True),
        Column("file_name", "text", "Name of the file as it was handed over, without its folder."),
        Column("sha256", "text", "SHA-256 of the file's bytes, in hexadecimal."),
        Column(
            "system",
            "text",
            "The system that the file was pulled from; `paper` for sheets typed in by hand. It "
            "decides how far two clocks may differ. Empty: not known; the clock's own name "
            "stands for it.",
            optional=True,
        ),
        Column(
            "owner_role",
            "text",
            "Role that owns the data in the plant. Empty: not stated.",
            optional=True,
        ),
        Column(
            "pulled_at",
            "instant",
            "When the file was pulled. Records are as old as this. Empty: not known.",
            optional=True,
        ),
        Column(
            "filter_text",
            "text",
            "The filter that was set when the file was pulled, in the words of the person who "
            "pulled it. Empty: not stated, which is not the same as unfiltered.",
            optional=True,
        ),
        Column(
            "period_from",
            "date",
            "First day that the file claims to cover. Empty: not stated.",
            optional=True,
        ),
        Column(
            "period_to",
            "date",
            "Last day that the file claims to cover. Empty: not stated.",
            optional=True,
        ),
        Column(
            "zone",
            "text",
            "Time zone in which the file writes its times, as an IANA name such as "
            "`Europe/Berlin`.",
        ),
        Column(
            "clock_id",
            "text",
            "The clock that stamped the times of this file. Empty: no offset is known and none "
            "is taken off.",
            optional=True,
        ),
        Column("rows_read", "int", "Data rows found in the file.", unit="rows"),
        Column("rows_loaded", "int", "Rows that became rows of a canonical table.", unit="rows"),
        Column(
            "rows_refused",
            "int",
            "Rows that could not be used; they are kept with their reason.",
            unit="rows",
        ),
        Column(
            "rows_duplicate",
            "int",
            "Rows that repeat another row exactly and count once. Read = loaded + refused + "
            "duplicate.",
            unit="rows",
        ),
        Column(
            "control_total",
            "decimal",
            "The plant's own figure to reconcile with, such as a count of rows or a sum of "
            "pieces. Empty: none was given.",
            optional=True,
        ),
        Column(
            "control_source",
            "text",
            "Where the plant's own figure comes from. Empty: none was given.",
            optional=True,
        ),
    ),
    ranges=(("period_from", "period_to"),),
)

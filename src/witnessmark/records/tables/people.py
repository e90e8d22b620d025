"""The canonical table `people`."""

from witnessmark.records.table import Column, Table

TABLE = Table(
    name="people",
    group="People",
    about=(
        "One person by a keyed pseudonym, or one place where persons may not be recorded. "
        "The tool writes the pseudonyms; names never enter. It is used to tell apart who "
        "was where, never to compare persons."
    ),
    columns=(
        Column(
            "person_key",
            "text",
            'A keyed pseudonym, or a place such as "operator 2 of cell B".',
            key=True,
        ),
        Column(
            "employer_kind",
            "text",
            "`own` (employed by the plant) or `agency`. Empty: not stated.",
            optional=True,
            words=("own", "agency"),
        ),
        Column(
            "home_shift",
            "text",
            "The shift that the person or place usually belongs to. Empty: none, or not stated.",
            optional=True,
        ),
    ),
)

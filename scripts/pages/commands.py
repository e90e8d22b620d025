"""The commands and their options, from the help that they print."""

from pages.markdown import page
from witnessmark.cli import app

SOURCE = "src/witnessmark/cli/"


def pages() -> dict[str, str]:
    """The one page of the commands."""
    _title, text = app.generate_docs().split("\n", maxsplit=1)
    return {"reference/cli.md": page("Commands", SOURCE, [text])}

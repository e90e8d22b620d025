"""The commands. Each is one file, imported only when it is called, so that help is quick."""

import sys

from cyclopts import App

from witnessmark import __version__
from witnessmark.errors import WitnessmarkError

UNUSABLE = 2
COMMANDS = {
    "test": "Run the job on a folder of exports and write its working paper.",
    "freeze": "Read a folder of exports, refuse what cannot be read, freeze the rest.",
    "map": "Propose a draft mapping for one export, with its reasons.",
    "case": "Hold the tool against worked examples in case files.",
    "demo": "Build the demo plant, run the job on it and say where its working paper is.",
}

app = App(
    name="witnessmark",
    version=__version__,
    help="What was said, what was seen and what the records show, side by side.",
)
for _name, _help in COMMANDS.items():
    app.command(f"witnessmark.cli.{_name}:run", name=_name, help=_help)


def main() -> None:
    """Runs a command; input that cannot be used ends with its reasons and exit code 2."""
    try:
        app()
    except WitnessmarkError as refusal:
        print(refusal, file=sys.stderr)
        sys.exit(UNUSABLE)

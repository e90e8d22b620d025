"""The commands. Each is one file, imported only when it is called, so that help is quick."""

import sys

from cyclopts import App, CycloptsError, Group

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
STATISTICS = {
    "size": "How many to look at to see a rate with a chance.",
    "could-miss": "What a sample of so many, with so many found, can still hide.",
    "draw": "Draw a sample list from a frozen population; anyone can draw it again.",
    "rate": "Limits of x of n, or of events over an exposure.",
    "effect": "Whether a countermeasure shows, before against after.",
    "tend": "Load of one person over machines, and how long stopped machines wait.",
    "capacity": "Hours that a demand asks for against hours that are staffed.",
    "chart": "Control chart of a column.",
    "capability": "Capability of a column against its tolerance, stability first.",
    "gauge": "Gauge study, of measured values or of decisions.",
    "age": "How long actions stay open, those still open counted.",
    "clock": "How far a clock stood from true time, by paired events.",
}

app = App(
    name="witnessmark",
    version=__version__,
    help="What was said, what was seen and what the records show, side by side.",
)
for _group, _commands in {
    Group("The job", sort_key=1): COMMANDS,
    Group("Samples and numbers", sort_key=2): STATISTICS,
}.items():
    for _name, _help in _commands.items():
        _module = _name.replace("-", "_")
        app.command(f"witnessmark.cli.{_module}:run", name=_name, help=_help, group=_group)


def main() -> None:
    """Runs a command; input that cannot be used ends with its reasons and exit code 2."""
    try:
        app(exit_on_error=False)
    except CycloptsError:
        sys.exit(UNUSABLE)  # cyclopts has said what is wrong with the command line
    except WitnessmarkError as refusal:
        print(refusal, file=sys.stderr)
        sys.exit(UNUSABLE)

"""The commands. Each is one file, imported only when it is called, so that help is quick."""

import os
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
AUDIT_FILE = {
    "serve": ("run", "Serve the application: on a laptop for one user, or for a team."),
    "user": ("app", "Who may sign in on a server: add, password, off, on, list."),
    "backup": ("run", "Write everything of an installation to one file, while it runs."),
    "restore": ("run", "Bring a backup back into a new data folder."),
    "report": ("run", "Write the report of an audit, its working papers and its records."),
    "seal": ("run", "Write an audit as one file that verifies without a server."),
    "reperform": ("run", "Check a sealed audit and recompute the numbers it cites."),
}
"""What each is called in its file, and what it says."""
STATISTICS = {
    "size": ("How many to look at to see a rate with a chance.", "size 5% 95%"),
    "could-miss": (
        "What a sample of so many, with so many found, can still hide.",
        "could-miss 0 of 30",
    ),
    "draw": (
        "Draw a sample list from a frozen population; anyone can draw it again.",
        "draw FOLDER --from late-entry --by shift --size 30 --seed 2024 --out list.xlsx",
    ),
    "rate": ("Limits of x of n, or of events over an exposure.", "rate 3 of 40"),
    "effect": ("Whether a countermeasure shows, before against after.", "effect 12/30 4/30"),
    "tend": (
        "Load of one person over machines, and how long stopped machines wait.",
        "tend --machines 3 --available 53 --work stop=1.5x4 patrol=0.5x6 --runs 30 --service 5",
    ),
    "capacity": (
        "Hours that a demand asks for against hours that are staffed.",
        "capacity demand.csv --oee 62% --machine-hours 675 --shift-hours 7.5",
    ),
    "chart": ("Control chart of a column.", "chart shaft.csv diameter --size 5"),
    "capability": (
        "Capability of a column against its tolerance, stability first.",
        "capability shaft.csv diameter --lower 9.97 --upper 10.03 --by station",
    ),
    "gauge": (
        "Gauge study, of measured values or of decisions.",
        "gauge study.csv --tolerance 0.06",
    ),
    "age": (
        "How long actions stay open, those still open counted.",
        "age actions.xlsx --opened raised --verified closed --until 2026-03-31",
    ),
    "clock": (
        "How far a clock stood from true time, by paired events.",
        "clock pairs.csv --shown terminal --true badge",
    ),
}
"""What each says, and an example."""

app = App(
    name="witnessmark",
    version=__version__,
    help="What was said, what was seen and what the records show, side by side.",
)
_JOB, _FILE, _NUMBERS = (
    Group(name, sort_key=key)
    for key, name in enumerate(("The job", "The audit file", "Samples and numbers"), 1)
)
for _name, _help in COMMANDS.items():
    app.command(f"witnessmark.cli.{_name}:run", name=_name, help=_help, group=_JOB)
for _name, (_object, _help) in AUDIT_FILE.items():
    app.command(f"witnessmark.cli.{_name}:{_object}", name=_name, help=_help, group=_FILE)
for _name, (_help, _example) in STATISTICS.items():
    app.command(
        f"witnessmark.cli.{_name.replace('-', '_')}:run",
        name=_name,
        help=f"{_help}\n\nFor example: `witnessmark {_example}`",
        group=_NUMBERS,
    )


def main() -> None:
    """Runs a command; input that cannot be used ends with its reasons and exit code 2."""
    try:
        app(exit_on_error=False)
    except CycloptsError:
        sys.exit(UNUSABLE)  # cyclopts has said what is wrong with the command line
    except WitnessmarkError as refusal:
        print(refusal, file=sys.stderr)
        sys.exit(UNUSABLE)
    except BrokenPipeError:
        # Whoever read the output has had enough; what is left must not be flushed at exit either.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)

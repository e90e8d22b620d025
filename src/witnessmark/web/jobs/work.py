"""The process of one job: `python -m witnessmark.web.jobs.work JOB_ID`."""

import os
import sys
from importlib import import_module
from uuid import UUID

from witnessmark.web.end_with import end_with_server
from witnessmark.web.start import set_up

NICER = 10


def main(job_id: str) -> int:
    """Does the work of a job and keeps what came of it; 0 when it was done."""
    end_with_server(set_up())
    if hasattr(os, "nice"):
        os.nice(NICER)
    # Models can be read only now that Django is set up.
    run = import_module("witnessmark.web.jobs.run").run
    return 0 if run(UUID(job_id)) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))

"""Runs the job on the public machine-shop log, through the mapping kept in examples.

The log itself is not part of this project; examples/machine_shop_log/README.md says where it is
published. Usage: make real-log F=path/to/feedback_export_cp1252.csv
"""

import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
EXAMPLE = ROOT / "examples" / "machine_shop_log"
FOLDER = ROOT / "out" / "machine-shop-log"


def main() -> int:
    """Lays the log beside its mapping and runs `witnessmark test` on the folder."""
    if len(sys.argv) != 2 or not Path(sys.argv[1]).is_file():  # noqa: PLR2004  # one argument
        print("Say where the log is: make real-log F=path/to/feedback_export_cp1252.csv")
        return 2
    shutil.rmtree(FOLDER, ignore_errors=True)
    FOLDER.mkdir(parents=True)
    for settings in ("mapping.toml", "plant.toml"):
        shutil.copy(EXAMPLE / settings, FOLDER)
    shutil.copy(sys.argv[1], FOLDER)
    witnessmark = Path(sys.executable).parent / "witnessmark"
    return subprocess.run([witnessmark, "test", FOLDER], check=False).returncode


if __name__ == "__main__":
    sys.exit(main())

"""Puts the SQL of timeline and catalogue into shape, leaving each file's front matter and prose.

Only layout and capitals are mended: the formatter's rewrites of structure have lost columns. What
else the linter asks for stays for `make check` to report and for a person to decide.
"""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDERS = ("src/witnessmark/timeline", "src/witnessmark/record_tests/catalogue")
CLOSE = "*/"
RULES = "layout,capitalisation"


def block(text: str) -> str:
    """The comment that opens a file: front matter and prose."""
    return text[: text.find(CLOSE) + len(CLOSE)] if text.startswith("/*---") else ""


def main() -> int:
    """Formats all files; the exit code is 1 where the formatter would have changed the prose."""
    files = sorted(path for folder in FOLDERS for path in (ROOT / folder).rglob("*.sql"))
    before = {path: path.read_text("utf-8") for path in files}
    subprocess.run(
        [
            Path(sys.executable).with_name("sqlfluff"),
            "fix",
            "--quiet",
            "--processes",
            "2",
            *FOLDERS,
        ],
        cwd=ROOT,
        check=False,  # it ends with 1 where something is left to mend by hand
        stdout=subprocess.DEVNULL,
    )
    harmed = [
        path for path, text in before.items() if block(path.read_text("utf-8")) != block(text)
    ]
    for path in harmed:
        path.write_text(before[path], "utf-8")
        print(f"{path.relative_to(ROOT)}: the formatter changed its prose; the file is as it was")
    return 1 if harmed else 0


if __name__ == "__main__":
    sys.exit(main())

"""The process that sets one document: `python -m ...typeset_worker`, data in, PDF out.

It must not import anything of the report but the place of the fonts.
"""

import json
import sys
from importlib.resources import files
from pathlib import Path

import typst

from witnessmark.report.audit_report.fonts import FOLDER

PAGES = Path(str(files("witnessmark.report.audit_report") / "page"))
MARK = "<annex>"


def main() -> int:
    """Sets the first variant that fits, or the last."""
    asked = json.load(sys.stdin.buffer)
    page, most = PAGES / asked["template"], asked["most_pages"]
    *fuller, data = asked["variants"]
    try:
        data = next((one for one in fuller if _main_pages(page, one) <= most), data)
        pdf = typst.compile(
            page,
            root=PAGES,
            font_paths=[FOLDER],
            ignore_system_fonts=True,
            sys_inputs={"data": data},
            format="pdf",
            pdf_standards=["a-2a", "ua-1"],
            timestamp=asked["timestamp"],
        )
    except typst.TypstError as error:
        sys.stderr.write(f"{error.diagnostic or error.message}\n")
        return 1
    sys.stdout.buffer.write(pdf)
    return 0


def _main_pages(page: Path, data: str) -> int:
    """Pages before the annex, which is not set for this."""
    found = typst.query(
        page,
        MARK,
        field="value",
        one=True,
        root=PAGES,
        font_paths=[FOLDER],
        ignore_system_fonts=True,
        sys_inputs={"data": data, "measure": "yes"},
    )
    return int(found) - 1


if __name__ == "__main__":
    sys.exit(main())

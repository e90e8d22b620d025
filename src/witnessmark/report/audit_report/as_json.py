"""The report and its working papers as JSON: the same values, for a program.

Keys are the names in `values`, in their order, and those of `docs/reference/audit_report.md`.
Pictures keep their caption and what they show in words; the drawing stands in the PDF.
"""

import json
from dataclasses import asdict

from witnessmark.report.audit_report.values import AuditReport
from witnessmark.report.audit_report.working_papers import Sheet

FORM = "witnessmark audit report 1"


def report_json(report: AuditReport, sheets: tuple[Sheet, ...]) -> str:
    """The text of the file."""
    told = asdict(report)
    for picture in told["pictures"]:
        del picture["svg"]
    papers = {
        sheet.name: {
            "total": sheet.total,
            "rows": [dict(zip(sheet.keys, row, strict=True)) for row in sheet.rows],
        }
        for sheet in sheets
    }
    whole = {"form": FORM, "report": told, "working_papers": papers}
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"

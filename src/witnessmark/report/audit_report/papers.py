"""Everything that is given out of an audit, made from one moment of its journal.

The door to this room: web and command line need no more than `papers_of`.
"""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from witnessmark.report.audit_report.as_json import report_json
from witnessmark.report.audit_report.compose import compose
from witnessmark.report.audit_report.layout import report_pdf
from witnessmark.report.audit_report.record import record_pdf
from witnessmark.report.audit_report.sources import Sources
from witnessmark.report.audit_report.values import AuditReport
from witnessmark.report.audit_report.workbook import workbook_bytes
from witnessmark.report.audit_report.working_papers import Sheet, working_papers


@dataclass(frozen=True)
class Papers:
    """Report, working papers and records of one audit, each as bytes of a file.

    Args:
        sources: What they are made from.
        report: The values of the report.
    """

    sources: Sources
    report: AuditReport

    @cached_property
    def sheets(self) -> tuple[Sheet, ...]:
        """The working papers."""
        return working_papers(self.sources, self.report)

    @property
    def made_at(self) -> datetime:
        """The time that all files say they were made at."""
        return self.sources.made_at

    def pdf(self) -> bytes:
        """The report.

        Raises:
            TypesettingError: It could not be set.
        """
        return report_pdf(self.report, self.made_at)

    def workbook(self) -> bytes:
        """The working papers as a workbook."""
        return workbook_bytes(self.sheets, self.sources.say, self.made_at)

    def json(self) -> bytes:
        """Report and working papers as JSON."""
        return report_json(self.report, self.sheets).encode()

    def record(self, number: int) -> bytes:
        """The nonconformity record of a finding.

        Raises:
            KeyError: No finding that stands has this number.
            TypesettingError: It could not be set.
        """
        return record_pdf(self.report, number, self.made_at)

    @property
    def numbers(self) -> tuple[int, ...]:
        """Numbers of the findings that stand, in their order."""
        return tuple(sorted(one.number for one in self.report.findings))


def papers_of(sources: Sources, issued: bool | None = None) -> Papers:
    """The papers of an audit.

    Args:
        sources: The audit, its journal, what its runs kept.
        issued: Whether they are issued with this; by default, whether a report was issued before.
    """
    return Papers(sources, compose(sources, issued))

"""The audit report: from the journal to values, and from values to PDF, workbook and JSON."""

"""Pages before and after an audit: list, preparation, findings, answers, closing, journal."""

"""Tags of the audit's pages."""

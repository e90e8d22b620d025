"""The shared arithmetic of time on machines: one SQL file per derived table."""

"""Exports to canonical tables, typed, frozen under a content hash; the only opener of DuckDB."""

"""The engine and the catalogue: one SQL file per record test."""

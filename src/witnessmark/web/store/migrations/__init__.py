"""The shape of the tables, step by step."""

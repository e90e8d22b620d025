"""Measures a plant-year: the tool's own run against pandas and Polars notebooks."""

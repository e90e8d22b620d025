"""Witnessmark: what was said, what was seen and what the records show, side by side."""

from importlib.metadata import version

__version__ = version("witnessmark")

"""The audit file: what was said, seen and recorded, as a journal that can only grow.

Events are written by people (`event`), received into a chain (`journal`), and folded into the
state of an audit (`fold`). Every change is one action (`actions/`), whoever makes it. This layer
knows no database, no web page and no report.
"""

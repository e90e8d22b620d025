"""Pages that are worked at while an audit runs: trails, said, seen, records, promises, agenda.

A view reads the state and hands every change to an action; what may not be seen by the viewer is
left out here, before a template could show it.
"""

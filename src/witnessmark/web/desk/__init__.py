"""The desk: the pages at which an audit is prepared, worked on, closed and followed up.

A view reads the state and hands every change to an action; it decides nothing itself.
"""

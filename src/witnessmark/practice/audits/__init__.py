"""Two invented audits of the practice plant, written through the same actions as real ones.

One is over and followed up; the other is under way. Every number in them is read from the outcomes
of the record tests, none is written down here.
"""

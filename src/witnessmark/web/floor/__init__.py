"""The floor notebook: what is heard, seen and promised in the hall, with or without a network.

The page works from the phone's own store; the server only hands it out, takes what was written
through `audit.act.Desk`, and tells what is known of the audit.
"""

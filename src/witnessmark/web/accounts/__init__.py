"""Who may come in: users, the laptop's start-up token, sign-in with its limits.

What somebody may do in an audit is not decided here; that is for `audit`.
"""

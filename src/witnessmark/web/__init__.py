"""The web application: what the auditor sees and presses, served page by page.

It holds settings, accounts, pages and background jobs. It must not decide anything about an audit:
that is for `audit` and its actions.
"""

"""Where journals, texts and attachments of this installation are kept.

Nobody but `audit.act.Desk` appends; nothing here decides anything.
"""

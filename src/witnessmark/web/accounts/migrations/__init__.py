"""Changes of the tables of accounts, in order."""

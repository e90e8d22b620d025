"""Changes of the tables of jobs, in order."""

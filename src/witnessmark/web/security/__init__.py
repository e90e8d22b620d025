"""What guards the application as a whole: headers, what may come in, names of files, the log."""

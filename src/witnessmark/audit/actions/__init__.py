"""One file per action: its event, who may do it, what it asks for, what it changes."""

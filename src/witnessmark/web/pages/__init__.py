"""The frame that all pages share: shell, refusals, looks, and the first page."""

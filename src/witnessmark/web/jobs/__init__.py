"""Long work in the background, with progress that survives whoever watches it."""

"""Requirements, plant rules and thresholds with their source; as data."""

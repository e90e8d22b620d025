"""What a run says, first as plain values, then as a page, a summary or JSON."""

"""One file per picture: a pure function from plain values to the text of an SVG."""

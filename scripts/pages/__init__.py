"""The generated pages of the documentation: one module per source, each giving path and text."""

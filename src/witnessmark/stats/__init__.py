"""Pure functions: plain numbers or arrays in, frozen dataclasses out."""

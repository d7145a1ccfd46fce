"""Pure functions on floats and arrays in SI: no files, no cards, no warnings."""

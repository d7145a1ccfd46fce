"""A study of a running rope: its file and its model."""

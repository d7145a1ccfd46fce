"""Published values against ours: cases as data, subjects as calls of our functions, verdicts."""

"""Figures of speed: one JSON line each, in ratios to general libraries or against a goal."""

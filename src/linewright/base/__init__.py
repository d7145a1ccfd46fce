"""What every room stands on: units, errors and findings, sources and data."""

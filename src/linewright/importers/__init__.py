"""Files that people have, as values with an import report: weather, tension records."""

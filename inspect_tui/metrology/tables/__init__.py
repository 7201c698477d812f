"""Published tables as CSV with their sources, and the one loader."""

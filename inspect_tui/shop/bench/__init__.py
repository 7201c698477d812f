"""The Bench: readings logged one by one and judged at once."""

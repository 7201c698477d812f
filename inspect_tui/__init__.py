"""A measurement and inspection logger for a pattern shop: from reading to the cut."""

__version__ = "0.1.0"

"""Wear of tools over cores made, changes, and the life of a dimension."""

"""Geometry of faces: loops, stock, stacks."""

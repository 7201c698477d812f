"""Trends on the screen."""

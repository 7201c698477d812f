"""Gauges on the screen."""

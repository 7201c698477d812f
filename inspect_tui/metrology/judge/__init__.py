"""Uncertainty, verdict and the cut of one reading."""

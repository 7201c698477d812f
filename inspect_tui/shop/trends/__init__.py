"""Trends: wear, forecasts, what changed, work orders, counts."""

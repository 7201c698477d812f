"""Benches that are one shop: the exchange with the others beside the work, and what has to be decided after it."""

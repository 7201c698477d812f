"""The demo's own invented world: one job, its truth, and the record written from it."""

"""The kit: fits, setting order, buoyancy, passages."""

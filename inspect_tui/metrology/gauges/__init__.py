"""Studies of gauges and of the people who read them."""

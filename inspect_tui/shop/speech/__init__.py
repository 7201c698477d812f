"""How gauges and scanners speak: what they send as keys, over a line of their own, and by labels."""

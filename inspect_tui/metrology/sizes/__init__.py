"""The chain of sizes both ways: drawing, casting, tool; contraction, limits, tables."""

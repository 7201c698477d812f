"""Statistics of many readings: summaries, intervals, capability, charts."""

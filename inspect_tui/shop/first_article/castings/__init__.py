"""The castings of a sampling: what was read on them, what is in question, what they are evidence of."""

"""From castings back to causes and cuts."""

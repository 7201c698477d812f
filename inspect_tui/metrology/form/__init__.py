"""How straight, flat and round a surface is, and the geometrical tolerances that are asked of it."""

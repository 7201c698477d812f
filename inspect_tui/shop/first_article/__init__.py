"""First article: castings against the drawing, causes, cuts, stock."""

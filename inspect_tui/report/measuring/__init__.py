"""The sheet that a sample casting is measured by, for printing and for filling in."""

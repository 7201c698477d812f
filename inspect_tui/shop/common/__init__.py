"""What every room of the shop asks: finding, sizes, judging, corrections."""

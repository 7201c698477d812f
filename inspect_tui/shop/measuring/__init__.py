"""What to measure next, on a sample casting and on the castings of a sampling, and the sheet that it is written on."""

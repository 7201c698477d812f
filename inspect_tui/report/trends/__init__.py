"""Papers of trends: the chart of one size, and the month's sheet of wear, repairs and work orders."""

"""One feature whole: readings, findings, budget."""

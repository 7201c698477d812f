"""Results turned into papers: takes what the shop returns and never opens the record."""

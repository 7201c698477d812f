"""The kit: cores, fits, order, walls, papers for the foundry."""

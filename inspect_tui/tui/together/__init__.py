"""The screen of the exchange with the other benches, and what runs beside all screens."""

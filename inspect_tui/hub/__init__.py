"""One database for several shops: benches push what they wrote and pull what they lack; analysis reads all of it."""

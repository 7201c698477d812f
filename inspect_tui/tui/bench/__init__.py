"""The Bench on the screen."""

"""One feature on the screen."""

"""The kit on the screen."""

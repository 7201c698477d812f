"""Jobs on the screen."""

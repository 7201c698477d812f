"""First article on the screen."""

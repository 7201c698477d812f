"""Pictures on the screen: of what is at hand, from any place."""

"""Pictures and pages made of text for the terminal."""

"""What a first article is signed for: geometrical tolerances, decisions about what does not conform, the statement."""

"""What is changed later on: withdrawn and back, renamed, and the list of all of it."""
